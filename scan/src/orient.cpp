#include "flitchwise/scan/orient.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <cmath>
#include <numbers>

#include "flitchwise/errors.hpp"
#include "flitchwise/scan/thin.hpp"
#include "pcl/pcl_adapter.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kRadiansADegree = std::numbers::pi / 180;
constexpr double kGroundGridM = 0.04;        // coarse enough that a scene has some ten thousand points
constexpr double kGroundToleranceM = 0.06;   // uneven ground and short grass around its plane
constexpr double kLeastGroundShare = 0.12;   // of the scene's surface; the flat top of a log has less width
constexpr double kLeastGroundSpreadM = 0.3;  // standard deviation across; a strip 1 m wide has 0.29
constexpr double kSideMarginM = 0.10;        // points further off the plane tell on which side the log lies
// People mill on ground flatter than this (20 degrees and its bumps); a plane further from every axis means
// that the file has no level axis.
constexpr double kMostGroundSlopeRad = 26 * kRadiansADegree;

struct Spread {
  Eigen::Vector3d mean;
  Eigen::Vector3d deviations;  // ascending
  Eigen::Matrix3d directions;  // columns, in the same order
};

Spread spread_of(const Points& points) {
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  for (const auto& p : points) {
    mean += p.cast<double>();
  }
  mean /= static_cast<double>(points.size());
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  for (const auto& p : points) {
    const Eigen::Vector3d d = p.cast<double>() - mean;
    scatter += d * d.transpose();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(scatter / static_cast<double>(points.size()));
  return {mean, solver.eigenvalues().cwiseMax(0).cwiseSqrt(), solver.eigenvectors()};
}

/// Normal turned to the side on which more of the scene stands off the plane.
Eigen::Vector3d towards_the_scene(const Points& points, const PlaneFit& plane) {
  long long balance = 0;
  for (const auto& p : points) {
    const double height = plane.normal.dot(p.cast<double>() - plane.point_m);
    balance += height > kSideMarginM ? 1 : 0;
    balance -= height < -kSideMarginM ? 1 : 0;
  }
  return balance >= 0 ? plane.normal : Eigen::Vector3d(-plane.normal);
}

/// The ground in the frame of `points`; empty if no plane is wide enough for it.
std::optional<Ground> find_ground(const Points& points, const std::optional<Eigen::Vector3d>& up) {
  const auto plane =
      fit_plane(points, kGroundToleranceM, up.value_or(Eigen::Vector3d::Zero()), kMostGroundSlopeRad);
  if (!plane ||
      static_cast<double>(plane->inliers.size()) < kLeastGroundShare * static_cast<double>(points.size())) {
    return std::nullopt;
  }
  Points inliers;
  for (const std::size_t i : plane->inliers) {
    inliers.push_back(points[i]);
  }
  if (spread_of(inliers).deviations[1] < kLeastGroundSpreadM) {
    return std::nullopt;
  }
  Ground ground{plane->point_m, plane->normal};
  if (up) {
    ground.normal *= ground.normal.dot(*up) < 0 ? -1 : 1;
  } else {
    ground.normal = towards_the_scene(points, *plane);
  }
  return ground;
}

std::string axis_name(const Eigen::Vector3d& axis) {
  Eigen::Index i = 0;
  axis.cwiseAbs().maxCoeff(&i);
  return std::string(axis[i] < 0 ? "-" : "+") + "xyz"[i];
}

Eigen::Vector3d nearest_axis(const Eigen::Vector3d& direction) {
  Eigen::Index i = 0;
  direction.cwiseAbs().maxCoeff(&i);
  return Eigen::Vector3d::Unit(i) * (direction[i] < 0 ? -1 : 1);
}

void settle_up_from_ground(const Ground& ground, Eigen::Vector3d& up, std::string& source) {
  up = nearest_axis(ground.normal);
  const double slope_rad = std::acos(std::clamp(up.dot(ground.normal), -1.0, 1.0));
  if (slope_rad <= kMostGroundSlopeRad) {
    source = "the ground: the file's " + axis_name(up) + " axis";
    return;
  }
  up = ground.normal;
  source = "the ground itself, taken as level: no axis of the file is near to up";
}

/// Turns `up` to +z: y-up keeps x, (x, y, z) -> (x, -z, y); anything else by the smallest turn.
Eigen::Matrix3d turn_up(const Eigen::Vector3d& up) {
  return Eigen::Quaterniond::FromTwoVectors(up, Eigen::Vector3d::UnitZ()).toRotationMatrix();
}

Points scaled(const Cloud& cloud, double scale) {
  Points points;
  points.reserve(cloud.size());
  for (const auto& p : cloud.points) {
    points.emplace_back(p * static_cast<float>(scale));
  }
  return points;
}

/// Without a ground: the long axis of a log lies level, so the first of z and y that it is square to is up.
Eigen::Vector3d assumed_up(const Points& points) {
  constexpr double kLevel = 0.5;  // sine of 30 degrees
  const Eigen::Vector3d longest = spread_of(points).directions.col(2);
  return std::abs(longest.z()) > kLevel && std::abs(longest.y()) < kLevel ? Eigen::Vector3d::UnitY()
                                                                          : Eigen::Vector3d::UnitZ();
}

}  // namespace

OrientResult orient(const Cloud& in_file, const OrientOptions& options) {
  require(options.metres_per_unit > 0, "the scale must be a positive number of metres a file unit");
  require(!options.up || options.up->norm() > 0, "the up axis must have a length");
  OrientResult result;
  result.scale = options.metres_per_unit;
  result.scale_source = options.scale_source;

  Cloud metres;
  metres.points = scaled(in_file, result.scale);
  const Points coarse = thin(metres, kGroundGridM).points;
  Eigen::Vector3d up = Eigen::Vector3d::UnitZ();
  const auto given_up = options.up ? std::optional<Eigen::Vector3d>(options.up->normalized()) : std::nullopt;
  result.ground = find_ground(coarse, given_up);
  if (given_up) {
    up = *given_up;
    result.up_source = options.up_source + ": " + axis_name(up) + " axis";
  } else if (result.ground) {
    settle_up_from_ground(*result.ground, up, result.up_source);
  } else {
    up = assumed_up(coarse);
    result.up_assumed = true;
    result.up_source = "assumed, as the scan shows no ground: the file's " + axis_name(up) + " axis";
  }

  result.scan_from_file = turn_up(up);
  result.cloud.origin = result.scan_from_file * in_file.origin * result.scale;
  result.cloud.colours = in_file.colours;
  result.cloud.points = std::move(metres.points);
  const Eigen::Matrix3f turn = result.scan_from_file.cast<float>();
  for (auto& p : result.cloud.points) {
    p = turn * p;
  }
  if (result.ground) {
    result.ground->point_m = result.scan_from_file * result.ground->point_m + result.cloud.origin;
    result.ground->normal = result.scan_from_file * result.ground->normal;
  }
  return result;
}

}  // namespace flitchwise::scan
