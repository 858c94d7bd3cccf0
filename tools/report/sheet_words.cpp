#include "tools/report/sheet_words.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/units.hpp"
namespace flitchwise::report {
namespace {

constexpr int kTenths = 1;
constexpr double kLeastRoll_deg = 0.1;  // no phone's inclinometer reads closer than this

double heaviest_kg(const solver::SetupSheet& sheet) {
  double heaviest = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    heaviest = std::max(heaviest, cut.piece_weight_kg);
  }
  return heaviest;
}

}  // namespace

bool is_rolled(const solver::SetupSheet& sheet) {
  return std::abs(degrees(sheet.roll_rad)) >= kLeastRoll_deg;
}

std::string roll_angle(const solver::SetupSheet& sheet) {
  return fixed(std::abs(degrees(sheet.roll_rad)), kTenths);
}

std::string roll_words(const Report& report) {
  const solver::SetupSheet& sheet = report.sheet;
  if (!is_rolled(sheet)) {
    return "leave the log as it lies";
  }
  const std::string side = sheet.bark_walk_m > 0 ? "left" : "right";
  return "turn the log " + roll_angle(sheet) + " degrees " +
         (sheet.roll_rad > 0 ? "clockwise" : "anticlockwise") +
         ", seen from the small end; the new top now lies " +
         length_text(report.units, std::abs(sheet.bark_walk_m)) + " to the " + side +
         " of today's, along the bark at the middle of the log";
}

std::string tolerance_words(Units units, double tolerance_m) {
  constexpr double kTen = 10;
  const double tolerance_mm = tolerance_m * kMmAMetre;
  if (units == Units::millimetres && tolerance_mm < kTen) {
    return fixed(std::floor(tolerance_mm * kTen) / kTen, kTenths) + " mm";
  }
  const double down_m = rounded_down(units, tolerance_m);
  return down_m > 0 ? length_text(units, down_m) : "less than 1/16 in";
}

/// Public guidance on chain saws, logs that may roll, and lifting (29 CFR 1910.266; HSE INDG317; OSHA).
std::vector<std::string> cautions(const Report& report) {
  std::vector<std::string> all = {
      "Local rules and trained practice go first; this sheet only measures and reckons.",
      "Measure both end marks again before you cut: a scan can be wrong, and the cut cannot be undone.",
      ("Chain-saw trousers, boots, helmet, gloves, eye and ear protection. Nobody alone, nobody in line with "
       "the bar."),
      ("Kickback: the saw kicks where the bar's nose enters or leaves the cut, or touches anything. Keep the "
       "nose clear, both hands on the saw, your head out of the bar's plane."),
      "Block the log on its bearers on both sides before and after rolling. Stay on its uphill side, and "
      "never reach or stand under a lifted log. It weighs about " +
          weight_text(report.units, report.sheet.log_weight_kg) + '.'};
  if (heaviest_kg(report.sheet) > solver::kLift_kg) {
    all.push_back("The heaviest piece that comes off weighs about " +
                  weight_text(report.units, heaviest_kg(report.sheet)) +
                  ": turn it with tools and company; " + weight_text(report.units, solver::kLift_kg) +
                  " is the most for one.");
  }
  all.insert(
      all.end(),
      {"Set wedges behind the saw as the cut grows, so that it cannot close on the bar.",
       ("A bent log holds tension: its pieces may spring or bow as they come free. Wind-thrown wood holds "
        "more, and a root plate may tip back: make both safe first."),
       "Look for metal in the wood: fence wire, nails, old tags. Old wounds often hide it."});
  return all;
}

std::vector<std::string> checks_before_start(const Report& report) {
  std::vector<std::string> checks = {"Chain sharp for ripping and tensioned; bar straight.",
                                     "Chain oil and fuel full; the oil reaches the chain.",
                                     "Log blocked on both sides; it does not move when pushed.",
                                     "Both end marks measured again; both brackets parallel.",
                                     "Every screw tight, none nearer to the cut than the sheet allows.",
                                     "Saw slid along the whole rail with the engine off: nothing in its way.",
                                     "Saw depth measured at both ends of the bar.",
                                     "Wedges and hammer at hand; nobody else near."};
  if (report.sheet.kit.truing == solver::Kit::Truing::string) {
    checks.emplace_back(
        "String taken off before the saw starts, and at the latest before it leaves the cut.");
  }
  return checks;
}

std::string truing_words(const Report& report) {
  const solver::Kit& kit = report.sheet.kit;
  const auto length = [&](double length_m) { return length_text(report.units, length_m); };
  switch (kit.truing) {
    case solver::Kit::Truing::string: {
      std::string words = "Stretch the string from end to end, " + length(kit.string_height_m) +
                          " above the rail's underside at both";
      if (kit.gauge_m > 0) {
        words +=
            ": a block of " + length(kit.string_height_m - kit.gauge_m) + " and a gauge of " +
            length(kit.gauge_m) +
            ". Stand the block on a support, lay the gauge on it, and turn the screws until the string feels "
            "as the table says";
      }
      return words +
             ". Do the same along the left and the right side. Take the string off before the saw starts.";
    }
    case solver::Kit::Truing::straightedge:
      return "Lay the straightedge along and across over neighbouring supports" +
             (kit.gauge_m > 0 ? ": a gauge of " + length(kit.gauge_m) + " must not go under it anywhere."
                              : std::string(": no light may show under it."));
    case solver::Kit::Truing::none:
      break;
  }
  return {};
}

std::string gauge_feel(Units units, const solver::Support& support) {
  const std::string lift = length_text(units, support.string_sag_m);
  return bare_length(units, support.string_sag_m) == "0" ? "just touches" : "lifts the string " + lift;
}

}  // namespace flitchwise::report
