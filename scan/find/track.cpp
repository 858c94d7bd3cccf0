#include "scan/find/track.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "scan/find/circle.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kSeedSpacing_m = 0.25;
constexpr double kSeedReach_m = 0.45;  // a ball that holds a stretch as long as a thick log is wide
constexpr int kSeedRounds = 3;
constexpr std::size_t kLeastSeedPoints = 60;
constexpr double kLeastSeedArc = 0.22;  // of the circle: 80 degrees
constexpr double kLevelSine = 0.57;     // a log lies less than 35 degrees from level
constexpr double kRadialNormal =
    0.75;  // cosine between a bark point's normal and its radius: rough bark, noise

constexpr double kStep_m = 0.10;
constexpr double kSliceHalf_m = 0.06;
constexpr double kSliceNormal = 0.6;  // as above, but seen from the expected middle alone
constexpr double kGateIn = 0.55;  // share of the radius: nearer points are inside, further ones other things
constexpr double kGateOut = 1.5;
constexpr double kWideTolerance = 0.16;    // of the radius, to catch a flare
constexpr double kNarrowTolerance = 0.07;  // of the radius: ovality and bark
constexpr double kLeastTolerance_m = 0.015;
constexpr double kPriorPoints = 15;
constexpr double kLeastArc = 0.22;
constexpr double kLeastSupport = 0.25;  // of the track's usual number of points a slice
constexpr double kMostJump = 0.35;      // of the radius, between neighbouring slices
constexpr int kMostMisses = 5;          // half a metre may be hidden by whatever stands before the log
constexpr std::size_t kDirectionPoints = 6;
constexpr int kMostSteps = 400;

/// Axis square to the normals: the direction in which they vary least.
Eigen::Vector3d axis_of(const Points& normals, const std::vector<std::size_t>& chosen) {
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  for (const std::size_t i : chosen) {
    const Eigen::Vector3d n = normals[i].cast<double>();
    scatter += n * n.transpose();
  }
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(scatter).eigenvectors().col(0);
}

struct Plane2 {
  Eigen::Vector3d origin;
  Eigen::Vector3d u;
  Eigen::Vector3d v;
  Plane2(const Eigen::Vector3d& o, const Eigen::Vector3d& axis)
      : origin(o), u(axis.unitOrthogonal()), v(axis.cross(u)) {}
  Eigen::Vector2d flat(const Eigen::Vector3d& p) const { return {u.dot(p - origin), v.dot(p - origin)}; }
  Eigen::Vector3d lift(const Eigen::Vector2d& p) const { return origin + p.x() * u + p.y() * v; }
};

/// Of the circle's supporting points those whose normal points along their radius.
std::vector<std::size_t> radial_support(const Scene& scene, const std::vector<std::size_t>& near,
                                        const Plane2& plane, const Circle& circle, double tolerance_m) {
  std::vector<std::size_t> support;
  for (const std::size_t i : near) {
    const Eigen::Vector2d d = plane.flat(scene.points[i].cast<double>()) - circle.centre_m;
    const Eigen::Vector3d n = scene.normals[i].cast<double>();
    const Eigen::Vector2d flat_normal(plane.u.dot(n), plane.v.dot(n));
    const double distance = d.norm();
    if (std::abs(distance - circle.radius_m) <= tolerance_m &&
        std::abs(flat_normal.dot(d)) > kRadialNormal * distance) {
      support.push_back(i);
    }
  }
  return support;
}

std::optional<Seed> seed_at(const Eigen::Vector3f& place, const Scene& scene, const NeighbourSearch& search,
                            const IsolateOptions& options) {
  const std::vector<std::size_t> near = search.within(place, kSeedReach_m);
  const CircleLimits limits{options.least_diameter_m / 2, options.most_diameter_m / 2, kLeastTolerance_m};
  std::vector<std::size_t> chosen = near;
  Seed seed;
  for (int round = 0; round < kSeedRounds; ++round) {
    if (chosen.size() < kLeastSeedPoints) {
      return std::nullopt;
    }
    seed.axis = axis_of(scene.normals, chosen);
    const Plane2 plane(place.cast<double>(), seed.axis);
    std::vector<Eigen::Vector2d> flat;
    flat.reserve(near.size());
    for (const std::size_t i : near) {
      flat.push_back(plane.flat(scene.points[i].cast<double>()));
    }
    const auto circle = find_circle(flat, limits);
    if (!circle) {
      return std::nullopt;
    }
    chosen = radial_support(scene, near, plane, *circle, limits.tolerance_m);
    std::vector<Eigen::Vector2d> supporting;
    supporting.reserve(chosen.size());
    for (const std::size_t i : chosen) {
      supporting.push_back(plane.flat(scene.points[i].cast<double>()));
    }
    const double arc_share = support_of(*circle, supporting, limits.tolerance_m).arc_share;
    seed.centre_m = plane.lift(circle->centre_m);
    seed.radius_m = circle->radius_m;
    if (arc_share < kLeastSeedArc) {
      return std::nullopt;
    }
    seed.rank = static_cast<double>(chosen.size()) * arc_share;
  }
  const bool is_log =
      seed.rank > 0 && chosen.size() >= kLeastSeedPoints && std::abs(seed.axis.z()) <= kLevelSine;
  return is_log ? std::optional<Seed>(seed) : std::nullopt;
}

/// Direction of travel at the end of a track.
Eigen::Vector3d heading(const std::vector<TrackPoint>& track, const Eigen::Vector3d& seed_axis) {
  if (track.size() < 3) {
    return seed_axis;
  }
  const std::size_t n = std::min(track.size(), kDirectionPoints);
  const Eigen::Vector3d recent = track.back().centre_m - track[track.size() - n].centre_m;
  // Short stretches lean on the seed's axis, which comes from many normals.
  const double trust = static_cast<double>(n) / kDirectionPoints;
  return (trust * recent.normalized() + (1 - trust) * seed_axis).normalized();
}

struct Slice {
  TrackPoint point;
  std::size_t support = 0;
};

std::optional<Slice> fit_slice(const TrackPoint& expected, const Eigen::Vector3d& axis, const Scene& scene,
                               const NeighbourSearch& search) {
  const double radius_m = expected.radius_m;
  const Plane2 plane(expected.centre_m, axis);
  std::vector<Eigen::Vector2d> flat;
  for (const std::size_t i :
       search.within(expected.centre_m.cast<float>(), kGateOut * radius_m + kSliceHalf_m)) {
    const Eigen::Vector3d p = scene.points[i].cast<double>();
    const Eigen::Vector2d q = plane.flat(p);
    const Eigen::Vector3d n = scene.normals[i].cast<double>();
    const bool radial = std::abs(plane.u.dot(n) * q.x() + plane.v.dot(n) * q.y()) > kSliceNormal * q.norm();
    if (radial && std::abs(axis.dot(p - expected.centre_m)) <= kSliceHalf_m &&
        q.norm() > kGateIn * radius_m && q.norm() < kGateOut * radius_m) {
      flat.push_back(q);
    }
  }
  const Circle start{Eigen::Vector2d::Zero(), radius_m};
  const Circle wide =
      refine_circle(start, flat, std::max(kLeastTolerance_m, kWideTolerance * radius_m), kPriorPoints);
  const double tolerance_m = std::max(kLeastTolerance_m, kNarrowTolerance * radius_m);
  const Circle circle = refine_circle(wide, flat, tolerance_m, 1);
  const CircleSupport support = support_of(circle, flat, tolerance_m);
  const bool continues = support.arc_share >= kLeastArc && circle.centre_m.norm() < kMostJump * radius_m &&
                         std::abs(circle.radius_m - radius_m) < kMostJump * radius_m;
  if (!continues) {
    return std::nullopt;
  }
  return Slice{{plane.lift(circle.centre_m), circle.radius_m, support.arc_share}, support.inliers.size()};
}

/// One way from the seed; the seed's own slice is first.
std::vector<TrackPoint> walk_one_way(const TrackPoint& start, const Eigen::Vector3d& direction,
                                     const Scene& scene, const NeighbourSearch& search,
                                     std::size_t usual_support) {
  std::vector<TrackPoint> track{start};
  int misses = 0;
  for (int step = 0; step < kMostSteps && misses <= kMostMisses; ++step) {
    const Eigen::Vector3d axis = heading(track, direction);
    TrackPoint expected = track.back();
    expected.centre_m += axis * kStep_m * (1 + misses);
    const auto slice = fit_slice(expected, axis, scene, search);
    const bool enough =
        slice && static_cast<double>(slice->support) >= kLeastSupport * static_cast<double>(usual_support);
    if (!enough) {
      ++misses;
      continue;
    }
    misses = 0;
    track.push_back(slice->point);
  }
  return track;
}

}  // namespace

std::vector<Seed> find_seeds(const Scene& scene, const NeighbourSearch& search,
                             const IsolateOptions& options) {
  CellIndex cells(scene.points.size() / 100);
  std::vector<Seed> seeds;
  for (const Eigen::Vector3f& p : scene.points) {
    const Eigen::Array3i cell = (p.array() / static_cast<float>(kSeedSpacing_m)).floor().cast<int>();
    const std::uint32_t known = cells.size();
    if (cells.find_or_add(cell.x(), cell.y(), cell.z()) < known) {
      continue;
    }
    if (const auto seed = seed_at(p, scene, search, options)) {
      seeds.push_back(*seed);
    }
  }
  std::stable_sort(seeds.begin(), seeds.end(), [](const Seed& a, const Seed& b) { return a.rank > b.rank; });
  return seeds;
}

std::vector<TrackPoint> walk(const Seed& seed, const Scene& scene, const NeighbourSearch& search) {
  const auto first = fit_slice({seed.centre_m, seed.radius_m, 0}, seed.axis, scene, search);
  if (!first) {
    return {};
  }
  const auto forward = walk_one_way(first->point, seed.axis, scene, search, first->support);
  const auto backward = walk_one_way(first->point, -seed.axis, scene, search, first->support);
  std::vector<TrackPoint> track(backward.rbegin(), backward.rend() - 1);
  track.insert(track.end(), forward.begin(), forward.end());
  return track;
}

double length_m(const std::vector<TrackPoint>& track) {
  double sum = 0;
  for (std::size_t i = 1; i < track.size(); ++i) {
    sum += (track[i].centre_m - track[i - 1].centre_m).norm();
  }
  return sum;
}

double rank(const std::vector<TrackPoint>& track) {
  double sum = 0;
  for (const TrackPoint& t : track) {
    sum += t.arc_share * t.arc_share * t.radius_m * kStep_m;
  }
  return sum;
}

TrackFrame::TrackFrame(const std::vector<TrackPoint>& track)
    : track_(track), axis_((track.back().centre_m - track.front().centre_m).normalized()) {
  for (const TrackPoint& t : track_) {
    along_.push_back(axis_.dot(t.centre_m - track_.front().centre_m));
  }
}

std::size_t TrackFrame::segment(double along_m) const {
  const auto above = std::upper_bound(along_.begin(), along_.end(), along_m);
  const auto i = static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, above - along_.begin() - 1));
  return std::min(i, along_.size() - 2);
}

Eigen::Vector3d TrackFrame::centre_at(double along_m) const {
  const std::size_t i = segment(along_m);
  const double u = (along_m - along_[i]) / (along_[i + 1] - along_[i]);
  return (1 - u) * track_[i].centre_m + u * track_[i + 1].centre_m;
}

double TrackFrame::radius_at(double along_m) const {
  const std::size_t i = segment(along_m);
  const double u = std::clamp((along_m - along_[i]) / (along_[i + 1] - along_[i]), 0.0, 1.0);
  return (1 - u) * track_[i].radius_m + u * track_[i + 1].radius_m;
}

TrackFrame::Place TrackFrame::place_of(const Eigen::Vector3d& point_m) const {
  Place place;
  place.along_m = axis_.dot(point_m - track_.front().centre_m);
  place.across_m = point_m - centre_at(place.along_m);
  place.across_m -= axis_ * axis_.dot(place.across_m);
  place.radius_m = radius_at(place.along_m);
  return place;
}

}  // namespace flitchwise::scan
