#include "solver/setup/marks.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "scan/model/errors.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

/// Linear between the samples at even angles.
double radius_at(const Eigen::VectorXd& radius_m, double theta_rad) {
  const Eigen::Index n = radius_m.size();
  const double turns = theta_rad / (2 * pi);
  const double place = (turns - std::floor(turns)) * static_cast<double>(n);
  const auto k = static_cast<Eigen::Index>(place) % n;
  const double u = place - std::floor(place);
  return (1 - u) * radius_m[k] + u * radius_m[(k + 1) % n];
}

/// Length of the curve r(theta) between two angles, by short chords.
double arc_length_m(const Eigen::VectorXd& radius_m, double from_rad, double to_rad) {
  constexpr double kStep_rad = 0.005;  // a chord is shorter than its arc by a millionth
  const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(to_rad - from_rad) / kStep_rad)));
  double length = 0;
  Eigen::Vector2d before;
  for (int i = 0; i <= steps; ++i) {
    const double theta = from_rad + (to_rad - from_rad) * i / steps;
    const Eigen::Vector2d point =
        radius_at(radius_m, theta) * Eigen::Vector2d(std::cos(theta), std::sin(theta));
    length += i == 0 ? 0 : (point - before).norm();
    before = point;
  }
  return length;
}

}  // namespace

EndMark end_mark(const BenchLog& log, const LevelPlane& opening, const SetupSheet& sheet, bool large_end,
                 double tolerance_m) {
  const double station_x_m = large_end ? log.usable_length_m() : 0;
  const Eigen::Vector2d pith = log.pith_at(station_x_m);
  const double x_m = log.end_x_m(large_end, pith.x(), opening.height_at(station_x_m));
  const BenchSection section = log.section_at(x_m);
  const double cut_z_m = opening.height_at(x_m);
  EndMark mark;
  mark.tolerance_m = tolerance_m;
  mark.above_pith_m = cut_z_m - pith.y();
  mark.bracket_above_pith_m = mark.above_pith_m + sheet.rail_height_m / opening.cosine;
  mark.rail_left_m = sheet.rail_y_m - pith.x();
  if (const auto top = top_at(section, pith.x())) {
    mark.below_top_m = top->z_m - cut_z_m;
  }
  if (const auto bottom = bottom_at(section, pith.x())) {
    mark.above_bottom_m = cut_z_m - bottom->z_m;
  }
  if (const auto chord = chord_at(section, cut_z_m)) {
    mark.half_width_left_m = chord->second - pith.x();
    mark.half_width_right_m = pith.x() - chord->first;
  }
  return mark;
}

BracketCheck bracket_check(const BenchLog& log, const LevelPlane& opening, const SetupSheet& sheet,
                           double half_width_m) {
  BracketCheck check;
  const double width_m = sheet.kit.bracket_width_m;
  if (!(width_m > 0)) {
    return check;
  }
  /// Upper corner of a bracket, `side` 1 left or -1 right, where the end face is.
  const auto corner = [&](bool large_end, double side) {
    const double y_m = sheet.rail_y_m + side * width_m / 2;
    const auto height_m = [&](double x_m) {
      return opening.height_at(x_m) + sheet.rail_height_m / opening.cosine;
    };
    double x_m = large_end ? log.usable_length_m() : 0;
    x_m = log.end_x_m(large_end, y_m, height_m(x_m));
    return Eigen::Vector3d(x_m, y_m, height_m(x_m));
  };
  check.left_to_right_m = (corner(true, -1) - corner(false, 1)).norm();
  check.right_to_left_m = (corner(true, 1) - corner(false, -1)).norm();
  // A bracket that is out of level by an angle lifts the cut's edge by half_width times it, which may use up
  // the tolerance; its corners rise and sink by half its width times the same angle, and the strings part
  // midway by half of what their four corners differ.
  const double tolerance_m = std::min(sheet.small_end.tolerance_m, sheet.large_end.tolerance_m);
  check.most_gap_m = half_width_m > 0 ? tolerance_m / half_width_m * width_m / 2 : 0;
  return check;
}

Eigen::Vector2d pith_by_tape(const LogModel& log, bool large_end, double top_m, double left_m) {
  const BenchLog as_scanned(log, 0);
  const BenchSection& section = large_end ? as_scanned.sections().back() : as_scanned.sections().front();
  const std::string end = large_end ? "large" : "small";
  const std::string advice =
      ": measure again, in mm down from the top and in from the left edge, as you face "
      "that end, before the log is rolled";
  require(top_m > 0 && left_m > 0,
          "the pith of the " + end + " end must lie below the top and in from the left edge" + advice);
  const std::string outside = "the pith of the " + end + " end lies outside of it" + advice;
  // The plumb line's foot depends on the place across and the level line's on the height: a few rounds of the
  // one and the other settle both.
  constexpr int kRounds = 60;
  double z_m = section.bark_m.col(1).mean();
  double y_m = 0;
  for (int round = 0; round < kRounds; ++round) {
    const auto chord = chord_at(section, z_m);
    require(chord.has_value(), outside);
    y_m = large_end ? chord->first + left_m : chord->second - left_m;
    const auto top = top_at(section, y_m);
    require(top.has_value(), outside);
    z_m = (z_m + top->z_m - top_m) / 2;  // halfway, lest the rounds swing to and fro
  }
  const auto bottom = bottom_at(section, y_m);
  require(bottom && z_m > bottom->z_m, outside);
  return {y_m, z_m};
}

double bark_walk_m(const LogModel& log, double roll_rad) {
  const Station middle = station_at(log, log.usable_length_m() / 2);
  const double bark_m = (middle.bark_radius_m - middle.wood_radius_m).mean();
  const Eigen::VectorXd radius_m = middle.wood_radius_m.array() + bark_m;
  // What will be on top lies today at pi/2 - roll; angles grow from the left over the top to the right.
  const double length_m = arc_length_m(radius_m, pi / 2, pi / 2 - roll_rad);
  return std::copysign(length_m, roll_rad);
}

}  // namespace flitchwise::solver
