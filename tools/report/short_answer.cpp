#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "report/report.hpp"
#include "report/text.hpp"

namespace flitchwise::report {
namespace {

constexpr double kNoPlayM = 0.0005;  // less cannot be marked or measured at a log

// No phone's inclinometer reads closer than this.
constexpr double kLeastRollDeg = 0.1;
constexpr int kTenths = 1;

/// All sizes are worth the same, so that boards are counted.
bool counts_boards(const solver::SawPlan& plan) {
  return std::all_of(plan.targets.begin(), plan.targets.end(), [&](const solver::Target& target) {
    return target.value == plan.targets.front().value;
  });
}

/// At most three digits after the point, no noughts at the end.
std::string plain(double value) {
  constexpr int kThousandths = 3;
  std::string text = fixed(value, kThousandths);
  text.erase(text.find_last_not_of('0') + 1);
  return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
}

std::string between_text(const solver::SawPlan& plan) {
  const solver::Proof& proof = plan.proof;
  if (counts_boards(plan)) {
    return "between " + std::to_string(proof.boards) + " and " + std::to_string(proof.upper_bound) +
           " boards are";
  }
  return "a plan worth between " + plain(proof.value) + " and " + plain(proof.upper_value) + " is";
}

std::string boards_text(const solver::SawPlan& plan) {
  const solver::Proof& proof = plan.proof;
  std::string text = boards_of(plan);
  if (plan.targets.size() == 1) {
    const solver::Target& target = plan.targets.front();
    text += " (" + mm(target.thickness_m) + " thick, " + mm(target.width_m) + " wide, " +
            mm(target.length_m) + " long, rough)";
  }
  text += '\n';
  if (!counts_boards(plan)) {
    text += "  Worth " + plain(proof.value) + " in all.\n";
  }
  const std::string tolerance = mm(proof.tolerance_m, kTenths);
  if (proof.proven && tolerance == "0.0") {
    text += "  Proven: no plan gives more.\n";
  } else if (proof.proven) {
    text += "  Proven: no plan gives more, even if the log were " + tolerance + " mm bigger all round.\n";
  } else {
    text += "  Not proven: " + between_text(plan) + " possible; more time would narrow it down.\n";
  }
  if (plan.margin_m < kNoPlayM) {
    return text + "  Margin: none beyond the uncertainty that the plan keeps clear of anyway.\n";
  }
  return text + "  Margin: the wood may lie " + mm(plan.margin_m, kTenths) +
         " mm further in, all round, before the first board is lost.\n";
}

std::string warnings_text(const Report& report) {
  const std::vector<std::string> warnings = all_warnings(report);
  std::string text;
  for (const std::string& warning : warnings) {
    text += wrapped(warning, "  ! ");
  }
  return warnings.empty() ? text : "\nWarnings\n" + text;
}

std::string roll_text(const solver::SetupSheet& sheet) {
  const double roll_deg = degrees(sheet.roll_rad);
  if (std::abs(roll_deg) < kLeastRollDeg) {
    return "  Roll      leave the log as it lies\n";
  }
  const std::string side = sheet.bark_walk_m > 0 ? "left" : "right";
  return wrapped("turn the log " + fixed(std::abs(roll_deg), kTenths) + " degrees " +
                     (roll_deg > 0 ? "clockwise" : "anticlockwise") +
                     ", seen from the small end; the new top now lies " + mm(std::abs(sheet.bark_walk_m)) +
                     " mm to the " + side + " of today's, along the bark at the middle of the log",
                 "  Roll      ");
}

std::string from_pith(double above_m) {
  return mm(std::abs(above_m)) + " mm " + (above_m < 0 ? "below" : "above") + " the pith";
}

/// Rounded down: a tolerance may be used up.
std::string tolerance_text(double tolerance_m) {
  const double tolerance_mm = tolerance_m * kMmAMetre;
  constexpr double kTen = 10;
  return tolerance_mm < kTen ? fixed(std::floor(tolerance_mm * kTen) / kTen, kTenths)
                             : fixed(std::floor(tolerance_mm), 0);
}

std::string end_text(const solver::EndMark& mark, double tolerance_m, const std::string& label,
                     bool assumed) {
  const std::string below_top =
      mm(std::abs(mark.below_top_m)) + " mm " + (mark.below_top_m < 0 ? "above" : "below") + " the top";
  const std::string above_bottom = mm(mark.above_bottom_m) + " mm above the bottom";
  // Without a seen pith the rim is what can be measured from.
  const std::string place =
      assumed ? below_top + ", " + above_bottom + " of the end (" + from_pith(mark.above_pith_m) +
                    ", if that is the middle)"
              : from_pith(mark.above_pith_m) + " (" + below_top + ", " + above_bottom + " of the end)";
  const std::string play = tolerance_m < kNoPlayM ? ", with no play: a board depends on it"
                                                  : ", give or take " + tolerance_text(tolerance_m) + " mm";
  return wrapped(place + play, label);
}

std::string opening_text(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  const bool assumed = report.log.pith.source == Pith::Source::assumed_middle;
  std::string text = "\nOpening cut\n" + roll_text(sheet);
  text +=
      wrapped(std::string("of the cut line, level across each end face") +
                  (assumed ? "; the pith was not seen, so it is taken to be the middle of the end:" : ":"),
              "  Heights   ");
  text += end_text(sheet.small_end, report.tolerance.small_end_m, "            small end: ", assumed);
  text += end_text(sheet.large_end, report.tolerance.large_end_m, "            large end: ", assumed);
  text += "  Rail      its underside " + mm(sheet.rail_height_m) + " mm above the cut, at both ends\n";
  if (const solver::Cut* cut = opening_cut(sheet)) {
    text += "  Saw       depth " + mm(cut->saw_depth_m) + " mm; the cut is up to " + mm(cut->width_m) +
            " mm wide\n";
  }
  if (!sheet.opening_reason.empty()) {
    text += wrapped(sheet.opening_reason, "  Why here  ");
  }
  return text + "  Kit       " + sheet.kit_name + '\n';
}

std::string gap_text(const solver::ScrewPoint& screw) {
  const std::string gap = mm(screw.gap_m);
  return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
}

std::string supports_text(const solver::SetupSheet& sheet) {
  std::vector<std::vector<std::string>> rows = {{"rail", "support", "x mm", "left mm", "right mm", "do"}};
  bool unseen = false;
  for (const solver::Support& support : sheet.supports) {
    rows.push_back({std::to_string(support.rail_position), std::to_string(support.support), mm(support.x_m),
                    gap_text(support.left), gap_text(support.right), support_status(support)});
    unseen = unseen || rows.back()[3].ends_with('?') || rows.back()[4].ends_with('?');
  }
  std::string text = "\nSupports (x from the small end; gaps from the rail's underside down to the bark)\n";
  text += table(rows, {true, true, true, true, true, false}, "  ");
  if (unseen) {
    text += "  ? the scan did not see the bark here: measure\n";
  }
  for (const solver::HighSpot& spot : sheet.high_spots) {
    text += "  cut away " + mm(spot.cut_away_m) + " mm of bark under the rail at x " + mm(spot.x_m) + " mm\n";
  }
  return text;
}

std::string rail_positions_text(const solver::SetupSheet& sheet) {
  std::string text;
  for (std::size_t i = 0; i < sheet.rail_positions.size() && sheet.rail_positions.size() > 1; ++i) {
    const solver::RailPosition& position = sheet.rail_positions[i];
    text += "  rail position " + std::to_string(i + 1) + ": x " + mm(position.start_x_m) + " to " +
            mm(position.end_x_m) + " mm";
    text += i > 0 ? ", overlapping the one before by " + mm(position.overlap_m) + " mm\n" : "\n";
  }
  return text;
}

bool is_level(const solver::Cut& cut) {
  return cut.kind == solver::Cut::Kind::opening || cut.kind == solver::Cut::Kind::level;
}

std::string cuts_text(const solver::SetupSheet& sheet) {
  std::vector<std::vector<std::string>> rows = {{"cut", "of", "rail or saw on", "depth mm", "width mm"}};
  std::size_t others = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    if (is_level(cut)) {
      rows.push_back(
          {std::to_string(cut.order), cut.piece, cut.rests_on, mm(cut.saw_depth_m), mm(cut.width_m)});
    } else {
      ++others;
    }
  }
  std::string text = "\nCuts\n" + table(rows, {true, false, false, true, true}, "  ");
  if (others > 0) {
    text += "  and " + counted(others, "cut") + " to edge the flitches and bring them to length: cuts.csv\n";
  }
  return text;
}

/// Public guidance on chain saws, logs that may roll, and lifting (29 CFR 1910.266; OSHA on lifting: 51 lb).
std::string cautions_text(const solver::SetupSheet& sheet) {
  constexpr double kLiftKg = 23;
  double heaviest_kg = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    heaviest_kg = std::max(heaviest_kg, cut.piece_weight_kg);
  }
  std::vector<std::string> cautions = {
      "Measure both end marks again before you cut: a scan can be wrong, and the cut cannot be undone.",
      "The log weighs about " + fixed(sheet.log_weight_kg, 0) +
          " kg. Block it on both sides before and after rolling, and stay on its uphill side.",
      "Chain-saw trousers, boots, helmet, eye and ear protection; nobody alone, nobody in line with the bar; "
      "keep "
      "the bar's nose clear.",
      "A wind-thrown log may be under tension, and its root plate may tip: make both safe first."};
  if (heaviest_kg > kLiftKg) {
    cautions.insert(cautions.begin() + 2,
                    "The heaviest piece that comes off weighs about " + fixed(heaviest_kg, 0) +
                        " kg: turn it with tools and company; 23 kg is the most for one.");
  }
  std::string text = "\nTake care\n";
  for (const std::string& caution : cautions) {
    text += wrapped(caution, "  - ");
  }
  return text;
}

}  // namespace

std::string short_answer(const Report& report) {
  check(report);
  return boards_text(report.plan) + warnings_text(report) + opening_text(report) +
         supports_text(report.sheet) + rail_positions_text(report.sheet) + cuts_text(report.sheet) +
         cautions_text(report.sheet);
}

}  // namespace flitchwise::report
