#include "tools/report/plan_json.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "scan/model/units.hpp"
#include "tools/report/advice_json.hpp"
#include "tools/report/cut_words.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/report.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/report/setup_words.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {
namespace {

using Json = nlohmann::ordered_json;

// What is kept after rounding: far finer than anyone saws, coarse enough to keep the file small.
constexpr double kTenth = 10;
constexpr double kHundredth = 100;
constexpr double kThousandth = 1000;
constexpr double kDirection = 1e9;

/// The nearest multiple of 1 / `parts`; null if the value is not finite. Adding zero makes -0 to 0.
Json rounded(double value, double parts) {
  return std::isfinite(value) ? Json(std::round(value * parts) / parts + 0.0) : Json(nullptr);
}

Json tenths_mm(double length_m) {
  return rounded(length_m * kMmAMetre, kTenth);
}
template <typename Vector>
Json tenths_mm(const Eigen::MatrixBase<Vector>& lengths_m) {
  Json json = Json::array();
  for (const double length_m : lengths_m) {
    json.push_back(tenths_mm(length_m));
  }
  return json;
}
Json hundredths_mm(double length_m) {
  return rounded(length_m * kMmAMetre, kHundredth);
}

/// Described structs, by their fields' names: lengths in millimetres, angles in degrees, both to the tenth.
template <Described Struct>
Json fields_json(const std::vector<Struct>& values) {
  Json json = Json::array();
  for (const Struct& value : values) {
    Json& fields = json.emplace_back();
    for_each_field(value, [&](std::string_view field, const auto& member) {
      const std::string name(field.substr(0, field.rfind('_') + 1));
      if constexpr (std::is_same_v<decltype(member), const std::vector<char>&>) {
        fields[std::string(field)] = std::vector<int>(member.begin(), member.end());
      } else if (field.ends_with("_m")) {
        fields[name + "mm"] = tenths_mm(member);
      } else if constexpr (std::is_same_v<decltype(member), const double&>) {
        fields[name + "deg"] = rounded(degrees(member), kTenth);
      }
    });
  }
  return json;
}

template <typename Vector>
Json point_json(const Vector& point_m) {
  Json json = Json::array();
  for (Eigen::Index i = 0; i < point_m.size(); ++i) {
    json.push_back(hundredths_mm(point_m[i]));
  }
  return json;
}

Json direction_json(const Eigen::Vector3d& direction) {
  Json json = Json::array();
  for (const double value : direction) {
    json.push_back(rounded(value, kDirection));
  }
  return json;
}

Json plane_json(const solver::CutPlane& plane) {
  return {{"point_mm", point_json(plane.point_m)}, {"normal", direction_json(plane.normal)}};
}

Json axes_json(const Eigen::Matrix3d& columns) {
  return {direction_json(columns.col(0)), direction_json(columns.col(1)), direction_json(columns.col(2))};
}

/// The origin in the file's coordinates is not rounded: its unit may be anything from a millimetre to a mile.
Json frame_json(const ScanInfo& scan, const LogFrame& frame) {
  const Eigen::Vector3d origin = scan.to_file(frame.origin_in_scan_m);
  return {{"origin_file", {origin.x(), origin.y(), origin.z()}},
          {"axes_file", axes_json(scan.scan_from_file.transpose() * frame.scan_from_log)},
          {"file_units_per_mm", 1 / (scan.scale * kMmAMetre)},
          {"origin_scan_mm", point_json(frame.origin_in_scan_m)},
          {"axes_scan", axes_json(frame.scan_from_log)}};
}

Json pith_json(const Pith& pith) {
  return {{"small_end_mm", point_json(pith.small_end_m)},
          {"large_end_mm", point_json(pith.large_end_m)},
          {"source", pith.source == Pith::Source::given ? "given" : "assumed middle"}};
}

Json opening_json(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  return {{"roll_deg", rounded(degrees(sheet.roll_rad), kThousandth)},
          {"plane", plane_json(solver::opening_cut_plane(report.plan, sheet))},
          {"extra_cut_mm", tenths_mm(sheet.extra_cut_m)},
          {"height_small_end_mm", tenths_mm(sheet.small_end.above_pith_m)},
          {"height_large_end_mm", tenths_mm(sheet.large_end.above_pith_m)},
          {"tolerance_small_end_mm", tenths_mm(report.tolerance.small_end_m)},
          {"tolerance_large_end_mm", tenths_mm(report.tolerance.large_end_m)},
          {"tolerance_roll_deg", rounded(degrees(report.tolerance.roll_rad), kHundredth)},
          {"rail_height_mm", tenths_mm(sheet.rail_height_m)}};
}

Json proof_json(const solver::Proof& proof) {
  return {{"boards", proof.boards},
          {"upper_bound", proof.upper_bound},
          {"value", rounded(proof.value, kThousandth)},
          {"upper_value", rounded(proof.upper_value, kThousandth)},
          {"tolerance_mm", hundredths_mm(proof.tolerance_m)},
          {"proven", proof.proven},
          {"margin_bound_mm", proof.margin_bound_m > 0 ? tenths_mm(proof.margin_bound_m) : Json(nullptr)},
          {"margin_proven", proof.margin_proven}};
}

Json boards_json(const solver::SawPlan& plan) {
  Json json = Json::array();
  for (const solver::Board& board : plan.boards) {
    Json corners = Json::array();
    for (const Eigen::Vector3d& corner : board.corners_m) {
      corners.push_back(point_json(corner));
    }
    const solver::Target& target = plan.targets.at(board.target);
    json.push_back(
        {{"id", board.id},
         {"target", target.name},
         {"size_mm", point_json(Eigen::Vector3d(target.thickness_m, target.width_m, target.length_m))},
         {"corners_mm", corners},
         {"flitch", board.flitch + 1},
         {"on_edge", plan.flitches.at(board.flitch).kind == solver::Flitch::Kind::cant},
         {"grain_slope", rounded(board.grain_slope, kThousandth * kTenth)},
         {"margin_mm", tenths_mm(board.margin_m)}});
  }
  return json;
}

Json short_boards_json(const solver::SawPlan& plan) {
  Json json = Json::array();
  for (const solver::ShortBoard& board : plan.short_boards) {
    Json corners = Json::array();
    for (const Eigen::Vector3d& corner : board.corners_m) {
      corners.push_back(point_json(corner));
    }
    json.push_back({{"id", board.id},
                    {"size_mm", point_json(size_of(plan, board))},
                    {"corners_mm", corners},
                    {"source", source_words(plan, board)},
                    {"flitch", is_from_jacket(board) ? Json(nullptr) : Json(board.flitch + 1)},
                    {"grain_slope", rounded(board.grain_slope, kThousandth * kTenth)}});
  }
  return json;
}

Json cuts_json(const std::vector<solver::Cut>& cuts) {
  Json json = Json::array();
  for (const solver::Cut& cut : cuts) {
    json.push_back({{"order", cut.order},
                    {"kind", kind_word(cut.kind)},
                    {"piece", piece_words(cut.piece)},
                    {"rests_on", rests_on_words(cut)},
                    {"plane", plane_json(cut.plane)},
                    {"saw_depth_mm", cut.saw_depth_m > 0 ? tenths_mm(cut.saw_depth_m) : Json(nullptr)},
                    {"width_mm", tenths_mm(cut.width_m)}});
  }
  return json;
}

Json supports_json(const std::vector<solver::Support>& supports) {
  Json json = Json::array();
  for (const solver::Support& support : supports) {
    json.push_back({{"rail_position", support.rail_position},
                    {"support", support.support},
                    {"x_mm", tenths_mm(support.x_m)},
                    {"y_left_mm", tenths_mm(support.left.y_m)},
                    {"y_right_mm", tenths_mm(support.right.y_m)},
                    {"gap_left_mm", tenths_mm(support.left.gap_m)},
                    {"gap_right_mm", tenths_mm(support.right.gap_m)},
                    {"string_mm", support.string_m > 0 ? tenths_mm(support.string_m) : Json(nullptr)},
                    {"status", status_words(support, Units::millimetres)}});
  }
  return json;
}

Json mark_json(const solver::EndMark& mark) {
  return {{"above_pith_mm", tenths_mm(mark.above_pith_m)},
          {"below_top_mm", tenths_mm(mark.below_top_m)},
          {"above_bottom_mm", tenths_mm(mark.above_bottom_m)},
          {"bracket_above_pith_mm", tenths_mm(mark.bracket_above_pith_m)},
          {"half_width_left_mm", tenths_mm(mark.half_width_left_m)},
          {"half_width_right_mm", tenths_mm(mark.half_width_right_m)},
          {"rail_left_mm", tenths_mm(mark.rail_left_m)}};
}

Json screw_faults_json(const std::vector<solver::ScrewFault>& faults) {
  Json json = Json::array();
  for (const solver::ScrewFault& fault : faults) {
    json.push_back({{"rail_position", fault.rail_position},
                    {"support", fault.support},
                    {"side", fault.left ? "left" : "right"},
                    {"tip_above_cut_mm", tenths_mm(fault.tip_above_cut_m)},
                    {"most_bite_mm", tenths_mm(fault.most_bite_m)}});
  }
  return json;
}

Json brackets_json(const solver::BracketCheck& check) {
  if (!(check.left_to_right_m > 0)) {
    return nullptr;
  }
  return {{"left_to_right_mm", tenths_mm(check.left_to_right_m)},
          {"right_to_left_mm", tenths_mm(check.right_to_left_m)},
          {"most_gap_mm", tenths_mm(check.most_gap_m)}};
}

Json edging_json(const std::vector<solver::FlitchLayout>& layouts) {
  Json json = Json::array();
  for (const solver::FlitchLayout& layout : layouts) {
    for (const solver::EdgingWindow& window : layout.windows) {
      Json starts = Json::array();
      Json ends = Json::array();
      for (const solver::EdgingLine& line : window.lines) {
        starts.push_back(tenths_mm(line.at_start_m));
        ends.push_back(tenths_mm(line.at_end_m));
      }
      json.push_back({{"flitch", layout.flitch + 1},
                      {"length_window", window.window + 1},
                      {"start_x_mm", tenths_mm(window.start_m)},
                      {"end_x_mm", tenths_mm(window.end_m)},
                      {"lines_at_start_mm", starts},
                      {"lines_at_end_mm", ends}});
    }
  }
  return json;
}

Json cant_rails_json(const std::vector<solver::CantRail>& rails) {
  Json json = Json::array();
  for (const solver::CantRail& rail : rails) {
    json.push_back({{"flitch", rail.flitch + 1},
                    {"length_window", rail.window + 1},
                    {"rail_height_mm", tenths_mm(rail.rail_height_m)},
                    {"bark_places", rail.bark_places},
                    {"supports", supports_json(rail.supports)}});
  }
  return json;
}

Json balance_json(const solver::WoodBalance& balance) {
  return {{"log_m3", rounded(balance.log_m3, kThousandth * kTenth)},
          {"boards_m3", rounded(balance.boards_m3, kThousandth * kTenth)},
          {"sawdust_m3", rounded(balance.sawdust_m3, kThousandth * kTenth)},
          {"sawn_m2", rounded(balance.sawn_m2, kHundredth)}};
}

Json setup_json(const solver::SetupSheet& sheet) {
  return {{"kit", kit_words(sheet)},
          {"opening_reason", opening_words(sheet, Units::millimetres)},
          {"bark_walk_mm", tenths_mm(sheet.bark_walk_m)},
          {"small_end", mark_json(sheet.small_end)},
          {"large_end", mark_json(sheet.large_end)},
          {"rail_positions", fields_json(sheet.rail_positions)},
          {"high_spots", fields_json(sheet.high_spots)},
          {"screw_faults", screw_faults_json(sheet.screw_faults)},
          {"brackets", brackets_json(sheet.brackets)},
          {"rail_sag_mm", hundredths_mm(sheet.rail_sag_m)},
          {"edging", edging_json(sheet.flitches)},
          {"cant_rails", cant_rails_json(sheet.cant_rails)},
          {"balance", balance_json(sheet.balance)},
          {"log_weight_kg", rounded(sheet.log_weight_kg, kTenth)}};
}

/// The usual two-blank indent, but arrays of plain values on one line: stations stay readable and the file
/// small.
void print(const Json& json, const std::string& indent, std::string& text) {
  const bool plain = !json.is_structured() || json.empty() ||
                     (json.is_array() && std::none_of(json.begin(), json.end(),
                                                      [](const Json& item) { return item.is_structured(); }));
  if (plain) {
    text += json.dump(-1, ' ', false, Json::error_handler_t::replace);
    return;
  }
  const std::string inner = indent + "  ";
  text += json.is_object() ? '{' : '[';
  for (auto item = json.begin(); item != json.end(); ++item) {
    text += item == json.begin() ? "\n" : ",\n";
    text += inner;
    if (json.is_object()) {
      text += Json(item.key()).dump() + ": ";
    }
    print(*item, inner, text);
  }
  text += '\n' + indent + (json.is_object() ? '}' : ']');
}

}  // namespace

Json scan_json(const ScanInfo& scan) {
  return {{"file", scan.file},
          {"points_read", scan.points_read},
          {"scale", scan.scale},
          {"scale_source", words(scan.scale_source, Units::millimetres)},
          {"up_source", words(scan.up_source)}};
}

Json log_json(const LogModel& log) {
  return {{"length_mm", tenths_mm(log.length_m)},
          {"small_end_diameter_mm", tenths_mm(log.small_end_diameter_m())},
          {"large_end_diameter_mm", tenths_mm(log.large_end_diameter_m())},
          {"sweep_mm", tenths_mm(log.sweep_m())},
          {"volume_m3", rounded(log.volume_m3(), kThousandth * kTenth)},
          {"seen_share", rounded(log.seen_share(), kThousandth)},
          {"bark_mm", tenths_mm(log.bark_m)},
          {"residual_mm", hundredths_mm(log.residual_m)},
          {"pith", pith_json(log.pith)},
          {"knots", fields_json(log.knots)},
          {"stations", fields_json(log.stations)}};
}

std::string plan_json(const Report& report) {
  check(report);
  const Json json = {{"format", "flitchwise-plan"},
                     {"version", 1},
                     {"scan", scan_json(report.scan)},
                     {"frame", frame_json(report.scan, report.log.frame)},
                     {"log", log_json(report.log)},
                     {"opening", opening_json(report)},
                     {"proof", proof_json(report.plan.proof)},
                     {"boards", boards_json(report.plan)},
                     {"short_boards", short_boards_json(report.plan)},
                     {"cuts", cuts_json(report.sheet.cuts)},
                     {"supports", supports_json(report.sheet.supports)},
                     {"setup", setup_json(report.sheet)},
                     {"advice", advice_json(report.advice, report.plan)},
                     {"warnings", all_warnings(report, Units::millimetres)}};
  std::string text;
  print(json, "", text);
  return text + '\n';
}

}  // namespace flitchwise::report
