#include "tools/report/advice_words.hpp"

#include <array>
#include <cmath>
#include <numbers>

#include "scan/model/units.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {
namespace {

using solver::Change;
using std::numbers::pi;

constexpr double kRounding = 1e-6;  // values are sums
constexpr int kHundredths = 2;

std::string yield_words(const solver::SawPlan& plan, const Yield& yield) {
  const std::string boards = counted(static_cast<std::size_t>(yield.boards), "board");
  return counts_boards(plan) ? boards : boards + " worth " + fixed(yield.value, kHundredths);
}

/// "give 1 more", "be worth 12.50 more".
std::string gain_words(const solver::SawPlan& plan, const Change& change) {
  return counts_boards(plan) ? "give " + std::to_string(change.boards_gained) + " more"
                             : "be worth " + fixed(change.value_gained, kHundredths) + " more";
}

/// A board's size made smaller: "4 mm narrower (146 mm)".
std::string smaller_words(Units units, const Change& change, const std::string& how) {
  const bool tenths = units == Units::millimetres && change.kind != Change::Kind::length &&
                      std::abs(std::remainder(change.to * kMmAMetre, 1)) > kRounding;
  return length_text(units, change.from - change.to) + ' ' + how + " (" +
         (tenths ? fine_length(units, change.to) : length_text(units, change.to)) + ")";
}

std::string change_words(const Report& report, const Change& change) {
  const solver::SawPlan& plan = report.plan;
  const std::string gains = " would " + gain_words(plan, change) + ".";
  const solver::Target& target = plan.targets.at(change.target);
  const std::string board = plan.targets.size() == 1             ? "A board"
                            : report.units == Units::millimetres ? "A " + target.name
                                                                 : "A " + size_words(report.units, target);
  switch (change.kind) {
    case Change::Kind::kerf:
      return "A kerf of " + fine_length(report.units, change.to) + " instead of " +
             fine_length(report.units, change.from) + gains;
    case Change::Kind::width:
      return board + ' ' + smaller_words(report.units, change, "narrower") + gains;
    case Change::Kind::thickness:
      return board + ' ' + smaller_words(report.units, change, "thinner") + gains;
    case Change::Kind::length:
      return board + ' ' + smaller_words(report.units, change, "shorter") + gains;
    case Change::Kind::roll:
      return "Rolled " + fixed(std::abs(degrees(change.to)), 0) + " degrees " +
             (change.to > 0 ? "clockwise" : "anticlockwise") + ", as seen from the small end, the log" +
             gains;
    case Change::Kind::confidence:
      return "With less care for the scan's errors (a confidence of " + plain(change.to) + " instead of " +
             plain(change.from) + ") the plan would " + gain_words(plan, change) + ", at more risk of wane.";
    case Change::Kind::surface:
      break;
  }
  return "If the wood's surface were known exactly (a better scan, the bark measured), the log could " +
         gain_words(plan, change) + ".";
}

std::string spot_words(const Report& report, const solver::BindingSpot& spot) {
  constexpr double kUnsure_m = 0.003;  // less is as good as seen
  std::string text =
      "The next board lacks " + fine_length(report.units, std::max(spot.missing_m, spot.larger_m / 2)) +
      " of wood on the " + side_words(spot.theta_rad + report.sheet.roll_rad) +
      " side of the log as it is sawn, " + length_text(report.units, spot.x_m) + " from the small end";
  if (!spot.seen) {
    text += ", where the scan did not see the bark";
  } else if (spot.sigma_m >= kUnsure_m) {
    text += ", where the surface is only known to " + fine_length(report.units, spot.sigma_m);
  }
  return text + ".";
}

}  // namespace

std::string side_words(double theta_rad) {
  constexpr std::array<const char*, 8> kSides{"left",  "upper left",  "upper", "upper right",
                                              "right", "lower right", "lower", "lower left"};
  const double eighths = theta_rad / (pi / 4);
  const long side = std::lround(eighths) % 8;
  return kSides.at(static_cast<std::size_t>(side < 0 ? side + 8 : side));
}

std::string by_eye_words(const Report& report) {
  if (!report.advice.by_eye) {
    return {};
  }
  const std::string plan =
      counts_boards(report.plan)
          ? std::to_string(report.plan.boards.size())
          : yield_words(report.plan, {static_cast<int>(report.plan.boards.size()), report.plan.value});
  return "By eye " + yield_words(report.plan, *report.advice.by_eye) + ", this plan " + plan + ".";
}

std::string crosscut_words(const Report& report, const CrosscutAdvice& crosscut) {
  std::string parts;
  for (const int boards : crosscut.of_pieces) {
    parts += (parts.empty() ? "" : " and ") + std::to_string(boards);
  }
  const Yield whole{static_cast<int>(report.plan.boards.size()), report.plan.value};
  return "Cut the log in two first, " + length_text(report.units, crosscut.x_m) +
         " from the small end: " + yield_words(report.plan, crosscut.yield) + " instead of " +
         (counts_boards(report.plan) ? std::to_string(whole.boards) : yield_words(report.plan, whole)) +
         " (" + parts + ").";
}

std::vector<std::string> limit_words(const Report& report) {
  std::vector<std::string> words;
  const Advice& advice = report.advice;
  bool complete = true;
  if (advice.limits) {
    if (advice.limits->next_board) {
      words.push_back(spot_words(report, *advice.limits->next_board));
    }
    for (const Change& change : advice.limits->changes) {
      words.push_back(change_words(report, change));
    }
    complete = advice.limits->complete;
    if (complete && advice.limits->changes.empty()) {
      words.emplace_back("No smaller kerf, no smaller board and no other roll was found to give one more.");
    }
  }
  if (advice.crosscut) {
    complete = complete && advice.crosscut->complete;
    if (advice.crosscut->yield.value > report.plan.value + kRounding) {
      words.push_back(crosscut_words(report, *advice.crosscut));
    }
  }
  if (!complete) {
    words.push_back("Not everything was tried, as there is too much to try; more time than " +
                    fixed(advice.seconds, advice.seconds < 1 ? 1 : 0) + " s tries more.");
  }
  return words;
}

}  // namespace flitchwise::report
