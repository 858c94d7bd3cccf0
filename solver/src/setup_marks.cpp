#include "setup_marks.hpp"

#include <cmath>
#include <numbers>

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
  constexpr double kStepRad = 0.005;  // a chord is shorter than its arc by a millionth
  const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(to_rad - from_rad) / kStepRad)));
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

EndMark end_mark(const BenchLog& log, const LevelPlane& opening, double rail_height_m, bool large_end,
                 double tolerance_m) {
  const double station_x_m = large_end ? log.usable_length_m() : 0;
  const Eigen::Vector2d pith = log.pith_at(station_x_m);
  const double x_m = log.end_x_m(large_end, pith.x(), opening.height_at(station_x_m));
  const BenchSection section = log.section_at(x_m);
  const double cut_z_m = opening.height_at(x_m);
  EndMark mark;
  mark.tolerance_m = tolerance_m;
  mark.above_pith_m = cut_z_m - pith.y();
  mark.bracket_above_pith_m = mark.above_pith_m + rail_height_m / opening.cosine;
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

double bark_walk_m(const LogModel& log, double roll_rad) {
  const Station middle = station_at(log, log.usable_length_m() / 2);
  const double bark_m = (middle.bark_radius_m - middle.wood_radius_m).mean();
  const Eigen::VectorXd radius_m = middle.wood_radius_m.array() + bark_m;
  // What will be on top lies today at pi/2 - roll; angles grow from the left over the top to the right.
  const double length_m = arc_length_m(radius_m, pi / 2, pi / 2 - roll_rad);
  return std::copysign(length_m, roll_rad);
}

}  // namespace flitchwise::solver
