#include "tools/simulate/solids.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace flitchwise::simulate {

namespace {

constexpr double kParallel = 1e-12;  // a direction component below this never reaches the face

// The stretch of a ray that lies between the planes -half and +half of one coordinate.
bool clip(double start, double direction, double half, std::pair<double, double>& stretch) {
  if (std::abs(direction) < kParallel) {
    return std::abs(start) <= half;
  }
  double enters = (-half - start) / direction;
  double leaves = (half - start) / direction;
  if (enters > leaves) {
    std::swap(enters, leaves);
  }
  stretch.first = std::max(stretch.first, enters);
  stretch.second = std::min(stretch.second, leaves);
  return stretch.first < stretch.second;
}

}  // namespace

bool hits(const Box& box, const Ray& ray) {
  const Eigen::Vector3d start = box.axes.transpose() * (ray.start_m - box.middle_m);
  const Eigen::Vector3d direction = box.axes.transpose() * ray.direction;
  std::pair<double, double> stretch{0, ray.length_m};
  for (int axis = 0; axis < 3; ++axis) {
    if (!clip(start[axis], direction[axis], box.half_m[axis], stretch)) {
      return false;
    }
  }
  return true;
}

bool hits(const Cylinder& cylinder, const Ray& ray) {
  const Eigen::Vector3d from_middle =
      ray.start_m - cylinder.start_m - cylinder.axis * (cylinder.length_m / 2);
  const double start_along = from_middle.dot(cylinder.axis);
  const double direction_along = ray.direction.dot(cylinder.axis);
  std::pair<double, double> stretch{0, ray.length_m};
  if (!clip(start_along, direction_along, cylinder.length_m / 2, stretch)) {
    return false;
  }
  const Eigen::Vector3d start = from_middle - start_along * cylinder.axis;
  const Eigen::Vector3d direction = ray.direction - direction_along * cylinder.axis;
  const double a = direction.squaredNorm();
  const double c = start.squaredNorm() - cylinder.radius_m * cylinder.radius_m;
  if (a < kParallel) {
    return c <= 0;
  }
  const double b = start.dot(direction);
  const double root = b * b - a * c;
  if (root <= 0) {
    return false;
  }
  const double width = std::sqrt(root);
  return std::max(stretch.first, (-b - width) / a) < std::min(stretch.second, (-b + width) / a);
}

bool holds(const Cylinder& cylinder, const Eigen::Vector3d& point_m) {
  const Eigen::Vector3d off = point_m - cylinder.start_m;
  const double along = off.dot(cylinder.axis);
  return along > 0 && along < cylinder.length_m && (off - along * cylinder.axis).norm() < cylinder.radius_m;
}

bool holds(const Box& box, const Eigen::Vector3d& point_m) {
  const Eigen::Vector3d off = box.axes.transpose() * (point_m - box.middle_m);
  return (off.cwiseAbs().array() < box.half_m.array()).all();
}

bool hits(const Solid& solid, const Ray& ray) {
  return std::visit([&](const auto& kind) { return hits(kind, ray); }, solid);
}

bool holds(const Solid& solid, const Eigen::Vector3d& point_m) {
  return std::visit([&](const auto& kind) { return holds(kind, point_m); }, solid);
}

}  // namespace flitchwise::simulate
