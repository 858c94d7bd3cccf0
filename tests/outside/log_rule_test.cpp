// The International 1/4-inch log rule against plans for its own cone: boards 1 inch thick, the rule's kerf,
// shrinkage and taper.
//
// The rule: J. F. Clark, The Measurement of Saw Logs, Forestry Quarterly 4 (1906); with a kerf of 1/4 inch as
// in Michigan Compiled Laws 290.401 (Act 208 of 1941) and in the USDA Forest Service's volume library
// (routine INTL14): a log is scaled in 4-foot sections, each a cylinder of its small end, 1/2 inch thicker
// every 4 feet; a section of diameter D inches gives 0.904762 (0.22 D^2 - 0.71 D) board feet. Boards are 1
// inch thick; each takes its kerf and 1/16 inch of shrinkage. The figures below are that formula's,
// unrounded; they agree with the printed table, which is rounded to the nearest 5 board feet, at 8, 12 and 16
// feet.

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "flitchwise/solver/search.hpp"
#include "support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr double kInch_m = 0.0254;
constexpr double kFoot_m = 0.3048;
constexpr double kThickness_m = (1 + 1. / 16) * kInch_m;  // green, for 1 inch after shrinkage
constexpr double kKerf_m = 0.25 * kInch_m;
constexpr double kTaper_m_per_m =
    0.25 * kInch_m / (4 * kFoot_m);  // of the radius: 1/2 inch of diameter in 4 feet
constexpr int kNarrowest_in = 3;     // the rule counts no narrower board
constexpr int kWidest_in = 34;

struct Cell {
  int diameter_in;
  int length_ft;
  double board_feet;
};

double rule_board_feet(int diameter_in, int length_ft) {
  double feet = 0;
  for (int section = 0; section < length_ft / 4; ++section) {
    const double d = diameter_in + 0.5 * section;
    feet += 0.904762 * (0.22 * d * d - 0.71 * d);
  }
  return feet;
}

/// One board of every whole inch of width, each worth its board feet.
std::vector<solver::Target> all_widths(double length_ft) {
  std::vector<solver::Target> targets;
  for (int width_in = kNarrowest_in; width_in <= kWidest_in; ++width_in) {
    targets.push_back({std::to_string(width_in) + " in", kThickness_m, width_in * kInch_m,
                       length_ft * kFoot_m, width_in * length_ft / 12.0});
  }
  return targets;
}

double planned_board_feet(int diameter_in, int length_ft, int board_ft) {
  test::LogShape shape;
  shape.length_m = length_ft * kFoot_m;
  shape.radius_m = diameter_in * kInch_m / 2;
  shape.taper_m_per_m = kTaper_m_per_m;
  const LogModel log = test::make_log(shape, 2 * length_ft + 1, 180);
  solver::SearchOptions options;
  options.kerf_m = options.rip_kerf_m = kKerf_m;
  options.crosscut_kerf_m = 0;
  options.sigmas = 0;
  options.most_pitch = 0;
  options.as_it_lies = true;
  options.time_limit_s = 2;
  return solver::search(log, all_widths(board_ft), options).value;
}

}  // namespace

TEST_CASE("International 1/4-inch rule", "[.table]") {
  for (const int length_ft : {8, 12, 16}) {
    for (int diameter_in = 8; diameter_in <= 30; diameter_in += 2) {
      const double rule = rule_board_feet(diameter_in, length_ft);
      const double full = planned_board_feet(diameter_in, length_ft, length_ft);
      const double sections = planned_board_feet(diameter_in, length_ft, 4);
      std::printf("%2d ft %2d in: rule %7.2f  full length %7.2f (%.3f)  4-foot boards %7.2f (%.3f)\n",
                  length_ft, diameter_in, rule, full, full / rule, sections, sections / rule);
      std::fflush(stdout);
    }
  }
}

}  // namespace flitchwise
