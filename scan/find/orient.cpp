#include "scan/find/orient.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <vector>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "scan/pcl/pcl_adapter.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kGroundGrid_m = 0.04;        // coarse enough that a scene has some ten thousand points
constexpr double kGroundTolerance_m = 0.06;   // uneven ground and short grass around its plane
constexpr double kLeastGroundShare = 0.12;    // of the scene's surface; the flat top of a log has less width
constexpr double kLeastGroundSpread_m = 0.3;  // standard deviation across; a strip 1 m wide has 0.29
constexpr double kSideMargin_m = 0.10;        // points further off the plane tell on which side the log lies
// A wall may show more points than the ground. Things stand on the ground, near to it and all on one side.
constexpr int kMostPlanes = 4;       // the largest of the scene, compared as ground
constexpr double kStanding_m = 0.6;  // over the ground: most of a log and of what lies beside it
constexpr double kNewPlaneCosine =
    0.87;                             // 30 degrees from every plane before: no second layer of the same one
constexpr double kDoesAsWell = 0.85;  // of the best figure: there the usual up axis of files decides
// People mill on ground flatter than this (20 degrees and its bumps); a plane further from every axis means
// that the file has no level axis.
constexpr double kMostGroundSlope_rad = 26 * kRadADegree;

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

/// Shares of the scene that stand off a plane.
struct OffPlane {
  double above = 0;  ///< on the normal's side
  double below = 0;
  double near_above = 0;  ///< within the height of a log
  double near_below = 0;
};

OffPlane off_plane(const Points& points, const PlaneFit& plane) {
  OffPlane off;
  const double one = 1 / static_cast<double>(points.size());
  for (const auto& p : points) {
    const double height = plane.normal.dot(p.cast<double>() - plane.point_m);
    if (height > kSideMargin_m) {
      off.above += one;
      off.near_above += height < kStanding_m ? one : 0;
    } else if (height < -kSideMargin_m) {
      off.below += one;
      off.near_below += height > -kStanding_m ? one : 0;
    }
  }
  return off;
}

/// A plane that may be the ground, its normal on the side on which more of the scene stands.
struct Candidate {
  Ground ground;
  double figure = 0;  ///< share of what stands off it that stands near to it, all on one side
};

Candidate candidate_of(const Points& points, const PlaneFit& plane) {
  const OffPlane off = off_plane(points, plane);
  const bool turned = off.below > off.above;
  // Points on the plane itself do not count: a wall may have more of them.
  const double all = std::max(1e-9, off.above + off.below);
  const double one_side = std::max(off.above, off.below) / all;
  return {{plane.point_m, turned ? Eigen::Vector3d(-plane.normal) : plane.normal},
          (turned ? off.near_below : off.near_above) / all * one_side};
}

bool is_wide_enough(const Points& points, const PlaneFit& plane) {
  Points inliers;
  for (const std::size_t i : plane.inliers) {
    inliers.push_back(points[i]);
  }
  return spread_of(inliers).deviations[1] >= kLeastGroundSpread_m;
}

void remove(const std::vector<std::size_t>& indices, Points& points) {
  std::vector<char> gone(points.size(), 0);
  for (const std::size_t i : indices) {
    gone[i] = 1;
  }
  std::size_t i = 0;
  std::erase_if(points, [&](const Eigen::Vector3f&) { return gone[i++] == 1; });
}

/// Place in the order in which files put up: z, then y.
int axis_order(const Eigen::Vector3d& normal) {
  const double least = std::cos(kMostGroundSlope_rad);
  return normal.z() > least ? 0 : normal.y() > least ? 1 : 2;
}

/// The largest planes of the scene that are wide enough for a ground.
std::vector<Candidate> find_candidates(const Points& points, const std::optional<Eigen::Vector3d>& up) {
  const double least_inliers = kLeastGroundShare * static_cast<double>(points.size());
  std::vector<Candidate> candidates;
  Points rest = points;
  for (int round = 0; round < kMostPlanes; ++round) {
    const auto plane =
        fit_plane(rest, kGroundTolerance_m, up.value_or(Eigen::Vector3d::Zero()), kMostGroundSlope_rad);
    if (!plane || static_cast<double>(plane->inliers.size()) < least_inliers) {
      break;
    }
    const bool is_new = std::none_of(candidates.begin(), candidates.end(), [&](const Candidate& c) {
      return std::abs(c.ground.normal.dot(plane->normal)) > kNewPlaneCosine;
    });
    if (is_new && is_wide_enough(rest, *plane)) {
      candidates.push_back(candidate_of(points, *plane));
    }
    if (up) {
      break;  // the largest level one
    }
    remove(plane->inliers, rest);
  }
  return candidates;
}

/// The ground in the frame of `points`; empty if no plane is wide enough for it.
std::optional<Ground> find_ground(const Points& points, const std::optional<Eigen::Vector3d>& up) {
  const std::vector<Candidate> candidates = find_candidates(points, up);
  if (candidates.empty()) {
    return std::nullopt;
  }
  double best = 0;
  for (const Candidate& c : candidates) {
    best = std::max(best, c.figure);
  }
  const Candidate* chosen = nullptr;
  for (const Candidate& c : candidates) {
    const bool usual = !chosen || axis_order(c.ground.normal) < axis_order(chosen->ground.normal);
    const bool same = chosen && axis_order(c.ground.normal) == axis_order(chosen->ground.normal);
    if (c.figure >= kDoesAsWell * best && (usual || (same && c.figure > chosen->figure))) {
      chosen = &c;
    }
  }
  Ground ground = chosen->ground;
  if (up) {
    ground.normal *= ground.normal.dot(*up) < 0 ? -1 : 1;
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

void settle_up_from_ground(const Ground& ground, Eigen::Vector3d& up, UpSource& source) {
  up = nearest_axis(ground.normal);
  const double slope_rad = std::acos(std::clamp(up.dot(ground.normal), -1.0, 1.0));
  if (slope_rad <= kMostGroundSlope_rad) {
    source = {UpSource::Kind::ground, axis_name(up)};
    return;
  }
  up = ground.normal;
  source = {UpSource::Kind::ground_itself};
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

  Cloud metres;
  metres.points = scaled(in_file, result.scale);
  const Points coarse = thin(metres, kGroundGrid_m).points;
  Eigen::Vector3d up = Eigen::Vector3d::UnitZ();
  const auto given_up = options.up ? std::optional<Eigen::Vector3d>(options.up->normalized()) : std::nullopt;
  result.ground = find_ground(coarse, given_up);
  if (given_up) {
    up = *given_up;
    result.up_source = {UpSource::Kind::given, axis_name(up)};
  } else if (result.ground) {
    settle_up_from_ground(*result.ground, up, result.up_source);
  } else {
    up = assumed_up(coarse);
    result.up_source = {UpSource::Kind::assumed, axis_name(up)};
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
