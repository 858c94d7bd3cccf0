#include "scan/find/circle.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <random>

namespace flitchwise::scan {
namespace {

constexpr std::size_t kArcBins = 36;
constexpr int kTrials =
    150;  // with half the points on the circle, all miss with probability (7/8)^150 < 1e-8
constexpr std::size_t kMostTrialPoints = 250;  // a subset is enough to rank circles
constexpr std::uint64_t kSeed = 20110409;
constexpr int kRefineSteps = 12;
constexpr std::size_t kLeastPoints = 8;

/// Circle through three points; empty if they are in line.
std::optional<Circle> circle_through(const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                                     const Eigen::Vector2d& c) {
  const Eigen::Vector2d u = b - a;
  const Eigen::Vector2d v = c - a;
  const double cross = 2 * (u.x() * v.y() - u.y() * v.x());
  if (std::abs(cross) < 1e-9) {
    return std::nullopt;
  }
  const Eigen::Vector2d offset((v.y() * u.squaredNorm() - u.y() * v.squaredNorm()) / cross,
                               (u.x() * v.squaredNorm() - v.x() * u.squaredNorm()) / cross);
  return Circle{a + offset, offset.norm()};
}

std::size_t arc_bin(const Eigen::Vector2d& d) {
  const double turn = (std::atan2(d.y(), d.x()) + std::numbers::pi) / (2 * std::numbers::pi);
  return std::min(kArcBins - 1, static_cast<std::size_t>(turn * kArcBins));
}

/// Rank of a circle on a subset of the points: support, weighted by the arc that it covers.
double rank(const Circle& circle, const std::vector<Eigen::Vector2d>& points_m, std::size_t stride,
            double tolerance_m) {
  std::array<bool, kArcBins> occupied{};
  double support = 0;
  for (std::size_t i = 0; i < points_m.size(); i += stride) {
    const Eigen::Vector2d d = points_m[i] - circle.centre_m;
    const double off = d.norm() - circle.radius_m;
    if (std::abs(off) <= tolerance_m) {
      support += 1;
      occupied[arc_bin(d)] = true;
    }
  }
  return support * static_cast<double>(std::count(occupied.begin(), occupied.end(), true));
}

}  // namespace

CircleSupport support_of(const Circle& circle, const std::vector<Eigen::Vector2d>& points_m,
                         double tolerance_m) {
  CircleSupport support;
  std::array<bool, kArcBins> occupied{};
  double squares = 0;
  for (std::size_t i = 0; i < points_m.size(); ++i) {
    const Eigen::Vector2d d = points_m[i] - circle.centre_m;
    const double off = d.norm() - circle.radius_m;
    if (std::abs(off) <= tolerance_m) {
      support.inliers.push_back(i);
      squares += off * off;
      occupied[arc_bin(d)] = true;
    }
  }
  support.arc_share = static_cast<double>(std::count(occupied.begin(), occupied.end(), true)) / kArcBins;
  support.scatter_m =
      support.inliers.empty() ? 0 : std::sqrt(squares / static_cast<double>(support.inliers.size()));
  return support;
}

std::optional<Circle> find_circle(const std::vector<Eigen::Vector2d>& points_m, const CircleLimits& limits) {
  if (points_m.size() < kLeastPoints) {
    return std::nullopt;
  }
  std::mt19937_64 random(kSeed);
  const std::size_t stride = std::max<std::size_t>(1, points_m.size() / kMostTrialPoints);
  std::optional<Circle> best;
  double best_rank = 0;
  for (int trial = 0; trial < kTrials; ++trial) {
    const std::size_t n = points_m.size();
    const auto circle =
        circle_through(points_m[random() % n], points_m[random() % n], points_m[random() % n]);
    if (!circle || circle->radius_m < limits.least_radius_m || circle->radius_m > limits.most_radius_m) {
      continue;
    }
    const double r = rank(*circle, points_m, stride, limits.tolerance_m);
    if (r > best_rank) {
      best_rank = r;
      best = circle;
    }
  }
  return best;
}

Circle refine_circle(const Circle& start, const std::vector<Eigen::Vector2d>& points_m, double tolerance_m,
                     double prior_points) {
  Circle circle = start;
  for (int step = 0; step < kRefineSteps; ++step) {
    Eigen::Matrix3d normal = prior_points * Eigen::Matrix3d::Identity();
    Eigen::Vector3d gradient;
    gradient << prior_points * (start.centre_m - circle.centre_m),
        prior_points * (start.radius_m - circle.radius_m);
    for (const Eigen::Vector2d& p : points_m) {
      const Eigen::Vector2d d = p - circle.centre_m;
      const double distance = d.norm();
      const double off = distance - circle.radius_m;
      const double u = off / (2 * tolerance_m);
      if (std::abs(u) >= 1 || distance <= 0) {
        continue;
      }
      const double weight = (1 - u * u) * (1 - u * u);  // Tukey
      Eigen::Vector3d j;
      j << d / distance, 1;
      normal += weight * j * j.transpose();
      gradient += weight * off * j;
    }
    const Eigen::Vector3d change = normal.ldlt().solve(gradient);
    circle.centre_m += change.head<2>();
    circle.radius_m += change[2];
    if (change.norm() < 1e-5) {
      break;
    }
  }
  return circle;
}

}  // namespace flitchwise::scan
