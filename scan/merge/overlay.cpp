#include "scan/merge/overlay.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

// Two surfaces at one place: nearest points no further apart than so along the surface.
constexpr double kBeside_m = 0.03;
constexpr double kOneSurface_m = 0.02;      // drift of a phone's walk within a scan comes to 10 to 20 mm
constexpr double kLeastBesidePoints = 100;  // points of 20 mm: a bearer's end
constexpr double kClose_m = 0.004;
// Of the pose, at the log: noise of neighbouring points is not independent, so only one in so many counts.
constexpr double kMostPlay_m = 0.0025;
// A phone's depth scan that lies within 5 mm on another has drifted by 10 to 20 mm over the log
// (scan_accuracy.csv and the simulator's scanners), photogrammetry by less in the same proportion.
constexpr double kDriftOfResidual = 2;
constexpr double kAlikePoints = 10;
constexpr double kLeastNoise_m =
    0.001;  // of any scan, however smooth the two surfaces lie on each other here
constexpr double kLeastInformation = 0.01;  // points: less is none

/// On round wood it is square to the line from one point to the other, the single normals are not.
Eigen::Vector3f mean_normal(const Eigen::Vector3f& a, const Eigen::Vector3f& b) {
  return (a + (a.dot(b) < 0 ? -b : b)).normalized();
}

bool same_direction(const Eigen::Vector3f& a, const Eigen::Vector3f& b) {
  return std::abs(a.dot(b)) > kSameDirection;
}

struct Tally {
  double seen = 0;
  double over = 0;                  ///< of those, the other scan has a surface at their place
  std::vector<double> distances_m;  ///< where the surfaces are one

  void add(const Tally& other) {
    seen += other.seen;
    over += other.over;
    distances_m.insert(distances_m.end(), other.distances_m.begin(), other.distances_m.end());
  }
  double one_share() const { return over > 0 ? static_cast<double>(distances_m.size()) / over : 0; }
  /// Mean distance; another surface counts as much as is allowed one.
  double misfit_m() const {
    return std::accumulate(distances_m.begin(), distances_m.end(),
                           (over - static_cast<double>(distances_m.size())) * kOneSurface_m) /
           std::max(1.0, over);
  }
};

Tally tally(const SurfacePoints& source, const RegistrationTarget& target, const Eigen::Isometry3d& pose) {
  Tally tally;
  tally.seen = static_cast<double>(source.points_m.size());
  const Eigen::Isometry3f pose_f = pose.cast<float>();
  for (const Match& match : target.matches(source, pose, kOtherSurface_m)) {
    const Eigen::Vector3f of_target = target.points().normals[match.target];
    const Eigen::Vector3f of_source = pose_f.linear() * source.normals[match.source];
    const Eigen::Vector3f normal = mean_normal(of_target, of_source);
    const Eigen::Vector3f apart =
        pose_f * source.points_m[match.source] - target.points().points_m[match.target];
    const double off = std::abs(apart.dot(normal));
    if (static_cast<double>((apart - apart.dot(normal) * normal).norm()) > kBeside_m) {
      continue;
    }
    ++tally.over;
    if (off < kOneSurface_m && same_direction(of_target, of_source)) {
      tally.distances_m.push_back(off);
    }
  }
  return tally;
}

/// Median distance of the log's points from the surface a step further along it: noise and bark, without the
/// drift that makes two scans differ. Unknown where there is no track to step along: as much as any scan's.
double roughness_m(const AlignView& view, const RegistrationTarget& scene) {
  constexpr double kLag_m = 0.06;  // beyond what the normals average over
  if (view.track.size() < 2) {
    return kMostResidual_m;
  }
  const Eigen::Isometry3d further(Eigen::Translation3d(kLag_m * axis_of(view.track)));
  std::vector<double> distances_m;
  for (const Match& match : scene.matches(view.log, further, kFineGrid_m)) {
    const Eigen::Vector3f apart = scene.points().points_m[match.target] - view.log.points_m[match.source];
    const Eigen::Vector3f& here = view.log.normals[match.source];
    const Eigen::Vector3f& there = scene.points().normals[match.target];
    if (same_direction(here, there)) {
      distances_m.push_back(std::abs(apart.dot(mean_normal(here, there))));
    }
  }
  return distances_m.empty() ? kMostResidual_m : median(distances_m);
}

using Points3d = std::vector<Eigen::Vector3d>;
using Row = Eigen::Matrix<double, 7, 1>;  ///< of the point-to-plane equations: shift, turn, growth

/// How far the pose may be off (one standard deviation) where `corners` are, given the information that the
/// pairs hold about it and the noise of one pair.
double play_m(const Eigen::Matrix<double, 6, 6>& information, const Points3d& corners, double noise_m) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, 6, 6>> parts(information / kAlikePoints);
  double most = 0;
  for (const Eigen::Vector3d& q : corners) {
    Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
    for (Eigen::Index i = 0; i < 6; ++i) {
      const Eigen::Matrix<double, 6, 1> motion = parts.eigenvectors().col(i);
      const Eigen::Vector3d moved = motion.head<3>() + motion.tail<3>().cross(q);
      spread += moved * moved.transpose() / std::max(kLeastInformation, parts.eigenvalues()[i]);
    }
    most = std::max(most, Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(spread).eigenvalues()[2]);
  }
  return noise_m * std::sqrt(most);
}

/// The log's sides at both ends of its track.
Points3d corners_of(const std::vector<TrackPoint>& track) {
  Points3d corners;
  if (track.empty()) {
    return corners;
  }
  const Eigen::Vector3d across = axis_of(track).unitOrthogonal();
  const Eigen::Vector3d other = axis_of(track).cross(across);
  for (const TrackPoint& t : {track.front(), track.back()}) {
    for (const Eigen::Vector3d& side : {across, other, Eigen::Vector3d(-across), Eigen::Vector3d(-other)}) {
      corners.emplace_back(t.centre_m + t.radius_m * side);
    }
  }
  return corners;
}

/// How much further the log reaches from the middle of what is shared than the shared part does, in one
/// direction: 1 where all of it is shared. `shared` and `corners` are about that middle.
double lever_of(const Points3d& shared, const Points3d& corners, const Eigen::Vector3d& axis) {
  double squares = 0;
  for (const Eigen::Vector3d& p : shared) {
    squares += axis.dot(p) * axis.dot(p);
  }
  const double half_m = std::sqrt(3 * squares / std::max<double>(1, static_cast<double>(shared.size())));
  double most_m = half_m;
  for (const Eigen::Vector3d& q : corners) {
    most_m = std::max(most_m, std::abs(axis.dot(q)));
  }
  return half_m > 0 ? most_m / half_m : 1;
}

/// How well the pose is held, and the growth that would fit best. The product of the two scans' own normals
/// stands for the information: their errors are independent, so that noise holds nothing.
void judge_hold(const SurfacePoints& source, const RegistrationTarget& target, Points3d corners,
                const Eigen::Vector3d& axis, Placement& placement) {
  const Eigen::Isometry3f pose_f = placement.onto_from_from.cast<float>();
  const auto matches = target.matches(source, placement.onto_from_from, kBeside_m);
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Match& match : matches) {
    middle += target.points().points_m[match.target].cast<double>();
  }
  middle /= std::max<double>(1, static_cast<double>(matches.size()));
  Eigen::Matrix<double, 6, 6> information = Eigen::Matrix<double, 6, 6>::Zero();
  Eigen::Matrix<double, 7, 7> normal_matrix = Eigen::Matrix<double, 7, 7>::Zero();
  Row right = Row::Zero();
  Points3d shared;
  for (const Match& match : matches) {
    const Eigen::Vector3d onto = target.points().points_m[match.target].cast<double>();
    const Eigen::Vector3d p = (pose_f * source.points_m[match.source]).cast<double>() - middle;
    shared.push_back(p);
    const Eigen::Vector3d of_target = target.points().normals[match.target].cast<double>();
    Eigen::Vector3d of_source = (pose_f.linear() * source.normals[match.source]).cast<double>();
    const double cosine = of_source.dot(of_target);
    if (std::abs(cosine) < static_cast<double>(kSameDirection)) {
      continue;
    }
    of_source *= cosine < 0 ? -1 : 1;
    const auto row = [&](const Eigen::Vector3d& n) {
      Row r;
      r << n, p.cross(n), p.dot(n);
      return r;
    };
    const Row a = row(of_source);
    const Row b = row(of_target);
    information += (a.head<6>() * b.head<6>().transpose() + b.head<6>() * a.head<6>().transpose()) / 2;
    normal_matrix += b * b.transpose();
    right += b * of_target.dot(onto - middle - p);
  }
  for (Eigen::Vector3d& q : corners) {
    q -= middle;
  }
  const Eigen::Vector3d across = Eigen::Vector3d::UnitZ().cross(axis);
  placement.bend_m = kDriftOfResidual * placement.residual_m *
                     std::max(lever_of(shared, corners, axis), lever_of(shared, corners, across));
  placement.play_m = play_m(information, corners, std::max(kLeastNoise_m, placement.residual_m));
  constexpr double kDamping = 1e-6;  // keeps what nothing holds where it is
  normal_matrix.diagonal().array() += kDamping * normal_matrix.trace();
  placement.scale = 1 + normal_matrix.ldlt().solve(right)[6];
}

}  // namespace

bool agree(const Placement& placement) {
  return placement.overlap_share >= kLeastOverlap && placement.same_share >= kLeastSame &&
         placement.residual_m <= placement.most_residual_m;
}

bool shows_same_place(const Placement& placement) {
  return placement.beside_share.value_or(1) >= kLeastBeside;
}

bool is_straight(const Placement& placement) {
  return placement.bend_m <= kMostBend_m;
}

bool holds(const Placement& placement) {
  return placement.play_m.value_or(0) <= kMostPlay_m;
}

bool is_close(const Placement& placement) {
  return agree(placement) && placement.residual_m <= kClose_m;
}

OverlayJudge::OverlayJudge(const AlignView& onto, const AlignView& from)
    : onto_(onto),
      from_(from),
      onto_target_(onto.fine),
      from_target_(from.fine),
      most_residual_m_(std::clamp(
          kMostOfRoughness * std::hypot(roughness_m(onto, onto_target_), roughness_m(from, from_target_)) /
              std::numbers::sqrt2,
          kLeastMostResidual_m, kMostResidual_m)) {}

Placement OverlayJudge::judged(const Eigen::Isometry3d& pose) const {
  const auto both = [&](const SurfacePoints& from, const SurfacePoints& onto, double& overlap) {
    Tally there = tally(from, onto_target_, pose);
    const Tally back = tally(onto, from_target_, pose.inverse());
    const auto share = [](const Tally& t) { return t.seen > 0 ? t.over / t.seen : 0; };
    overlap = std::max(share(there), share(back));
    there.add(back);
    return there;
  };
  Placement placement;
  placement.onto_from_from = pose;
  const Tally log = both(from_.log, onto_.log, placement.overlap_share);
  placement.same_share = log.one_share();
  placement.residual_m = median(log.distances_m);
  placement.most_residual_m = most_residual_m_;
  placement.misfit_m = log.misfit_m();
  double ignored = 0;
  const Tally beside = both(from_.beside, onto_.beside, ignored);
  if (beside.over >= kLeastBesidePoints) {
    placement.beside_share = beside.one_share();
  }
  // Where nothing stands in both scans, that is worth half of what fits.
  placement.misfit_m =
      (placement.misfit_m + (placement.beside_share ? beside.misfit_m() : kOneSurface_m / 2)) / 2;
  return placement;
}

Placement OverlayJudge::judged_closely(const SurfacePoints& sample, const Eigen::Isometry3d& pose) const {
  Placement placement = judged(pose);
  Points3d corners = corners_of(onto_.track);
  for (const Eigen::Vector3d& q : corners_of(from_.track)) {
    corners.emplace_back(pose * q);
  }
  judge_hold(sample, onto_target_, corners, axis_of(onto_.track), placement);
  return placement;
}

}  // namespace flitchwise::scan
