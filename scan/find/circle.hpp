#pragma once
/// Robust circles through the points of a slice across a log.

#include <Eigen/Core>
#include <optional>
#include <vector>

namespace flitchwise::scan {

struct Circle {
  Eigen::Vector2d centre_m = Eigen::Vector2d::Zero();
  double radius_m = 0;
};

struct CircleLimits {
  double least_radius_m = 0.04;
  double most_radius_m = 0.8;
  double tolerance_m = 0.02;  ///< points this near to the circle support it
};

struct CircleSupport {
  std::vector<std::size_t> inliers;
  double arc_share = 0;  ///< occupied share of the 10 degree bins
  double scatter_m = 0;  ///< root mean square distance of the inliers
};

/// The points that support a circle, and how much of it they cover.
CircleSupport support_of(const Circle& circle, const std::vector<Eigen::Vector2d>& points_m,
                         double tolerance_m);

/// The circle whose supporting points cover most of it, from triples drawn with a fixed seed; empty if none
/// is within the limits.
std::optional<Circle> find_circle(const std::vector<Eigen::Vector2d>& points_m, const CircleLimits& limits);

/// Gauss-Newton on the geometric distance with Tukey weights, held to the start by a prior as strong as
/// `prior_points` points (so that a short arc cannot run away).
Circle refine_circle(const Circle& start, const std::vector<Eigen::Vector2d>& points_m, double tolerance_m,
                     double prior_points);

}  // namespace flitchwise::scan
