#include "tools/report/short_answer.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "solver/search/taper_share.hpp"
#include "tools/report/advice_words.hpp"
#include "tools/report/cut_words.hpp"
#include "tools/report/plain_text.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/setup_words.hpp"
#include "tools/report/sheet_words.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::report {
namespace {

constexpr double kNoPlay_m = 0.0005;  // less cannot be marked or measured at a log

/// The board whose wide face lies steepest to the pith line.
std::string grain_text(const solver::SawPlan& plan) {
  constexpr double kStraight = 0.001;  // 1 in 1000: nobody tells it from straight
  const auto steepest =
      std::max_element(plan.boards.begin(), plan.boards.end(),
                       [](const auto& a, const auto& b) { return a.grain_slope < b.grain_slope; });
  if (steepest == plan.boards.end() || steepest->grain_slope < kStraight) {
    return "";
  }
  return "  Grain: at most 1 in " + fixed(std::floor(1 / steepest->grain_slope), 0) +
         " off the line from pith to pith (board " + steepest->id + ").\n";
}

/// "1 in 150"; "not at all" where nobody could tell it from straight.
std::string slope_text(double slope) {
  constexpr double kStraight = 0.001;
  return std::abs(slope) < kStraight ? "not at all" : "1 in " + fixed(1 / std::abs(slope), 0);
}

/// How the taper is shared between the outer jackets, and what that does to the grain beside them.
std::string taper_text(const Report& report) {
  const solver::TaperShare share = solver::taper_share(report.log, report.plan);
  const double usable_m = report.log.usable_length_m();
  const auto growth = [&](double slope) {
    return (slope < 0 ? "thinner by " : "thicker by ") +
           length_text(report.units, std::abs(slope) * usable_m);
  };
  return wrapped("towards the large end the top jacket gets " + growth(share.top_slope) +
                     ", the bottom one " + growth(share.bottom_slope) +
                     "; the grain beside the top one slopes " + slope_text(share.top_slope) +
                     " to the boards, beside the bottom one " + slope_text(share.bottom_slope) + ".",
                 "  Taper: ");
}

/// Rounded down: a tolerance may be used up.
std::string roll_play_text(double tolerance_rad) {
  constexpr double kTen = 10;
  constexpr double kLeastRoll_deg = 0.1;  // no phone's inclinometer reads closer than this
  const double tenths = std::floor(degrees(tolerance_rad) * kTen) / kTen;
  return tenths < kLeastRoll_deg ? "; exactly: a board depends on it"
                                 : "; give or take " + fixed(tenths, 1) + " degrees";
}

std::string boards_text(const Report& report) {
  std::string text = boards_words(report.units, report.plan);
  if (report.plan.targets.size() == 1) {
    const solver::Target& target = report.plan.targets.front();
    const auto length = [&](double length_m) { return bare_length(report.units, length_m); };
    text += " (" + length(target.thickness_m) + " thick, " + length(target.width_m) + " wide, " +
            length(target.length_m) + " long, rough)";
  }
  text += '\n';
  if (const std::string worth = worth_words(report.plan); !worth.empty()) {
    text += "  " + worth + '\n';
  }
  if (const std::string shorter = short_boards_words(report.units, report.plan); !shorter.empty()) {
    text += wrapped(shorter, "  ");
  }
  if (const std::string by_eye = by_eye_words(report); !by_eye.empty()) {
    text += "  " + by_eye + '\n';
  }
  return text + "  " + proof_words(report.units, report.plan) + "\n" +
         wrapped(margin_words(report.units, report.plan), "  ") + grain_text(report.plan) +
         taper_text(report);
}

std::string warnings_text(const Report& report, const Hint& hint) {
  std::string text;
  for (const std::string& warning : all_warnings(report, report.units, hint)) {
    text += wrapped(warning, "  ! ");
  }
  return text.empty() ? text : "\nWarnings\n" + text;
}

std::string end_text(const Report& report, const solver::EndMark& mark, double tolerance_m,
                     const std::string& label) {
  const bool assumed = report.log.pith.source == Pith::Source::assumed_middle;
  const auto length = [&](double length_m) { return length_text(report.units, std::abs(length_m)); };
  const std::string from_pith =
      length(mark.above_pith_m) + ' ' + (mark.above_pith_m < 0 ? "below" : "above") + " the pith";
  const std::string below_top =
      length(mark.below_top_m) + ' ' + (mark.below_top_m < 0 ? "above" : "below") + " the top";
  const std::string above_bottom = length(mark.above_bottom_m) + " above the bottom";
  // Without a known pith the rim is what can be measured from.
  const std::string place =
      assumed ? below_top + ", " + above_bottom + " of the end (" + from_pith + ", if that is the middle)"
              : from_pith + " (" + below_top + ", " + above_bottom + " of the end)";
  const std::string play = tolerance_m < kNoPlay_m
                               ? ", with no play: a board depends on it"
                               : ", give or take " + tolerance_words(report.units, tolerance_m);
  return wrapped(place + play, label);
}

std::string opening_text(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  const bool assumed = report.log.pith.source == Pith::Source::assumed_middle;
  std::string text = "\nOpening cut\n" +
                     wrapped(roll_words(report) + roll_play_text(report.tolerance.roll_rad), "  Roll      ");
  text +=
      wrapped(std::string("of the cut line, level across each end face") +
                  (assumed ? "; the pith was not seen, so it is taken to be the middle of the end:" : ":"),
              "  Heights   ");
  text += end_text(report, sheet.small_end, report.tolerance.small_end_m, "            small end: ");
  text += end_text(report, sheet.large_end, report.tolerance.large_end_m, "            large end: ");
  text += "  Rail      its underside " + length_text(report.units, sheet.rail_height_m) +
          " above the cut, at both ends\n";
  if (const solver::Cut* cut = opening_cut(sheet)) {
    text += "  Saw       depth " + length_text(report.units, cut->saw_depth_m) + "; the cut is up to " +
            length_text(report.units, cut->width_m) + " wide\n";
  }
  text += wrapped(opening_words(sheet, report.units), "  Why here  ");
  return text + "  Kit       " + kit_words(sheet) + '\n';
}

std::string gap_text(Units units, const solver::ScrewPoint& screw) {
  const std::string gap = bare_length(units, screw.gap_m);
  return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
}

std::string supports_text(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  const std::string unit = ' ' + unit_name(report.units);
  std::vector<std::vector<std::string>> rows = {
      {"rail", "support", "x" + unit, "left" + unit, "right" + unit, "do"}};
  bool unseen = false;
  for (const solver::Support& support : sheet.supports) {
    rows.push_back({std::to_string(support.rail_position), std::to_string(support.support),
                    bare_length(report.units, support.x_m), gap_text(report.units, support.left),
                    gap_text(report.units, support.right), status_words(support, report.units)});
    unseen = unseen || rows.back()[3].ends_with('?') || rows.back()[4].ends_with('?');
  }
  std::string text = "\nSupports (x from the small end; gaps from the rail's underside down to the bark)\n";
  text += table(rows, {true, true, true, true, true, false}, "  ");
  if (unseen) {
    text += "  ? the scan did not see the bark here: measure\n";
  }
  for (const solver::HighSpot& spot : sheet.high_spots) {
    if (bare_length(report.units, spot.cut_away_m) == "0") {
      continue;  // less than anyone cuts away
    }
    text += "  cut away " + length_text(report.units, spot.cut_away_m) + " of bark under the rail at x " +
            length_text(report.units, spot.x_m) + '\n';
  }
  return text;
}

std::string rail_positions_text(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  std::string text;
  for (std::size_t i = 0; i < sheet.rail_positions.size() && sheet.rail_positions.size() > 1; ++i) {
    const solver::RailPosition& position = sheet.rail_positions[i];
    text += "  rail position " + std::to_string(i + 1) + ": x " +
            bare_length(report.units, position.start_x_m) + " to " +
            length_text(report.units, position.end_x_m);
    text += i > 0 ? ", overlapping the one before by " + length_text(report.units, position.overlap_m) + '\n'
                  : "\n";
  }
  return text;
}

std::string cuts_text(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  const std::string unit = ' ' + unit_name(report.units);
  std::vector<std::vector<std::string>> rows = {
      {"cut", "of", "rail or saw on", "depth" + unit, "width" + unit}};
  std::size_t others = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    if (is_level(cut)) {
      rows.push_back({std::to_string(cut.order), piece_words(cut.piece), rests_on_words(cut),
                      bare_depth(report.units, cut.saw_depth_m), bare_length(report.units, cut.width_m)});
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

std::string limits_text(const Report& report) {
  std::string text;
  for (const std::string& words : limit_words(report)) {
    text += wrapped(words, "  - ");
  }
  return text.empty() ? text : "\nWhat limits this plan\n" + text;
}

std::string cautions_text(const Report& report) {
  std::string text = "\nTake care\n";
  for (const std::string& caution : cautions(report)) {
    text += wrapped(caution, "  - ");
  }
  return text;
}

}  // namespace

std::string short_answer(const Report& report, const Hint& hint) {
  check(report);
  return boards_text(report) + warnings_text(report, hint) + opening_text(report) + supports_text(report) +
         rail_positions_text(report) + cuts_text(report) + limits_text(report) + cautions_text(report);
}

}  // namespace flitchwise::report
