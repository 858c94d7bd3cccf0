#include "scan/merge/align.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>

#include "scan/find/ground.hpp"
#include "scan/find/orient.hpp"
#include "scan/find/track.hpp"
#include "scan/model/median.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kAroundLogM = 0.8;    // ground and bearers beside the log hold it along its length
constexpr double kCoarseGridM = 0.05;  // some thousand points a scene: quick enough for a hundred guesses
constexpr double kCoarseNormalsM = 0.12;
constexpr double kFineGridM = 0.02;
constexpr double kFineNormalsM = 0.05;  // some twenty points, so that noise hardly tilts a normal
constexpr std::size_t kCoarseSample = 1500;
constexpr std::size_t kFineSample = 4000;
constexpr std::size_t kLastSample = 20'000;
constexpr double kSlideStepM = 0.15;      // the refinement reaches half of this either way
constexpr double kLeastSharedLogM = 0.4;  // scans of a log that share less have too little in common
constexpr int kRolls = 12;  // where no ground says which way is up: 30 degrees, half of it refined
constexpr Reach kCoarseReach{0.25, 0.1};
constexpr Reach kMiddleReach{0.1, 0.04};
constexpr Reach kFineReach{0.04, 0.02};  // a grid step beside
constexpr int kCoarseRounds = 8;
constexpr int kFineRounds = 12;
constexpr int kLastRounds = 60;
constexpr std::size_t kSettled = 3;
constexpr std::size_t kRefined = 12;  // of the coarse poses of one kind, so many are looked at closely

// Two surfaces at one place: nearest points no further apart than so along the surface.
constexpr double kBesideM = 0.03;
constexpr double kOneSurfaceM = 0.02;   // drift of a phone's walk within a scan comes to 10 to 20 mm
constexpr double kOtherSurfaceM = 0.1;  // further apart they are two things
constexpr float kSameDirection = 0.8F;  // cosine of 37 degrees: rough bark tilts normals
constexpr double kSmoothOverM = 0.1;
constexpr float kSmoothCosine = 0.94F;  // 20 degrees
constexpr double kCoarseFitM = 0.03;
constexpr double kLeastBesidePoints = 100;  // points of 20 mm: a bearer's end

constexpr double kCloseM = 0.004;
// Of the pose, at the log: noise of neighbouring points is not independent, so only one in so many counts.
constexpr double kMostPlayM = 0.0025;
// A phone's depth scan that lies within 5 mm on another has drifted by 10 to 20 mm over the log
// (scan_accuracy.csv and the simulator's scanners), photogrammetry by less in the same proportion.
constexpr double kDriftOfResidual = 2;
constexpr double kAlikePoints = 10;
constexpr double kLeastNoiseM = 0.001;  // of any scan, however smooth the two surfaces lie on each other here
constexpr double kLeastInformation = 0.01;  // points: less is none
constexpr double kSamePlaceM = 0.03;
constexpr double kSameTurnRad = 0.03;

/// What lies around the log; everything if there is none.
Cloud around_log(const Cloud& scene, const std::vector<TrackPoint>& track) {
  if (track.size() < 2) {
    return scene;
  }
  const TrackFrame frame(track);
  Cloud near;
  near.origin = scene.origin;
  for (const Eigen::Vector3f& p : scene.points) {
    const Eigen::Vector3d d = p.cast<double>() + scene.origin - track.front().centre_m;
    const double along_m = std::clamp(frame.axis().dot(d), 0.0, frame.chord_m());
    if ((d - along_m * frame.axis()).norm() < frame.radius_at(along_m) + kAroundLogM) {
      near.points.push_back(p);
    }
  }
  return near;
}

/// Bark, stubs and end faces; where no log was found, whatever stands.
bool belongs_to(const std::vector<TrackPoint>& track, const Eigen::Vector3f& point_m) {
  constexpr double kOutside = 1.2;   // of the track's radius
  constexpr double kBeyondM = 0.15;  // a track ends up to a step and a half before the log does
  if (track.size() < 2) {
    return true;
  }
  const Eigen::Vector3d p = point_m.cast<double>();
  for (std::size_t i = 1; i < track.size(); ++i) {
    const Eigen::Vector3d step = track[i].centre_m - track[i - 1].centre_m;
    const double along_m = step.normalized().dot(p - track[i - 1].centre_m);
    const double least_m = i == 1 ? -kBeyondM : 0;
    const double most_m = step.norm() + (i + 1 == track.size() ? kBeyondM : 0);
    if (along_m >= least_m && along_m <= most_m &&
        (p - track[i - 1].centre_m - along_m * step.normalized()).norm() < kOutside * track[i].radius_m) {
      return true;
    }
  }
  return false;
}

Eigen::Vector3d middle_of(const Cloud& cloud) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (const Eigen::Vector3f& p : cloud.points) {
    sum += p.cast<double>();
  }
  return cloud.origin + sum / std::max<double>(1, static_cast<double>(cloud.size()));
}

/// Whether a surface has one direction here: blades of grass have any.
std::vector<char> is_smooth(const Points& points, const Points& normals) {
  const Points wider = estimate_normals(points, kSmoothOverM);
  std::vector<char> smooth(points.size(), 0);
  for (std::size_t i = 0; i < points.size(); ++i) {
    smooth[i] = std::abs(wider[i].dot(normals[i])) >= kSmoothCosine ? 1 : 0;
  }
  return smooth;
}

/// About `middle_m`; points without a normal are left out.
SurfacePoints surface_of(const Cloud& cloud, const Eigen::Vector3d& middle_m, double normals_m) {
  SurfacePoints surface;
  const Eigen::Vector3f shift = (cloud.origin - middle_m).cast<float>();
  const Points normals = estimate_normals(cloud.points, normals_m);
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    if (normals[i].squaredNorm() > 0) {
      surface.points_m.emplace_back(cloud.points[i] + shift);
      surface.normals.push_back(normals[i]);
    }
  }
  return surface;
}

void add_sample(const SurfacePoints& from, std::size_t most, SurfacePoints& to) {
  const std::size_t step = std::max<std::size_t>(1, from.points_m.size() / most);
  for (std::size_t i = 0; i < from.points_m.size(); i += step) {
    to.points_m.push_back(from.points_m[i]);
    to.normals.push_back(from.normals[i]);
  }
}

/// As many points of what stands as of everything: ground would outweigh the log.
SurfacePoints balanced(const AlignView& view, std::size_t most) {
  SurfacePoints sample;
  add_sample(view.log, most / 2, sample);
  add_sample(view.fine, most / 2, sample);
  return sample;
}

Eigen::Vector3d axis_of(const std::vector<TrackPoint>& track) {
  return track.size() < 2 ? Eigen::Vector3d(Eigen::Vector3d::Zero())
                          : (track.back().centre_m - track.front().centre_m).normalized();
}

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
                           (over - static_cast<double>(distances_m.size())) * kOneSurfaceM) /
           std::max(1.0, over);
  }
};

Tally tally(const SurfacePoints& source, const RegistrationTarget& target, const Eigen::Isometry3d& pose) {
  Tally tally;
  tally.seen = static_cast<double>(source.points_m.size());
  const Eigen::Isometry3f pose_f = pose.cast<float>();
  for (const Match& match : target.matches(source, pose, kOtherSurfaceM)) {
    const Eigen::Vector3f of_target = target.points().normals[match.target];
    const Eigen::Vector3f of_source = pose_f.linear() * source.normals[match.source];
    const Eigen::Vector3f normal = mean_normal(of_target, of_source);
    const Eigen::Vector3f apart =
        pose_f * source.points_m[match.source] - target.points().points_m[match.target];
    const double off = std::abs(apart.dot(normal));
    if (static_cast<double>((apart - apart.dot(normal) * normal).norm()) > kBesideM) {
      continue;
    }
    ++tally.over;
    if (off < kOneSurfaceM && same_direction(of_target, of_source)) {
      tally.distances_m.push_back(off);
    }
  }
  return tally;
}

/// Median distance of the log's points from the surface a step further along it: noise and bark, without the
/// drift that makes two scans differ. Unknown where there is no track to step along: as much as any scan's.
double roughness_m(const AlignView& view, const RegistrationTarget& scene) {
  constexpr double kLagM = 0.06;  // beyond what the normals average over
  if (view.track.size() < 2) {
    return kMostResidualM;
  }
  const Eigen::Isometry3d further(Eigen::Translation3d(kLagM * axis_of(view.track)));
  std::vector<double> distances_m;
  for (const Match& match : scene.matches(view.log, further, kFineGridM)) {
    const Eigen::Vector3f apart = scene.points().points_m[match.target] - view.log.points_m[match.source];
    const Eigen::Vector3f& here = view.log.normals[match.source];
    const Eigen::Vector3f& there = scene.points().normals[match.target];
    if (same_direction(here, there)) {
      distances_m.push_back(std::abs(apart.dot(mean_normal(here, there))));
    }
  }
  return distances_m.empty() ? kMostResidualM : median_of(distances_m);
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
  const auto matches = target.matches(source, placement.onto_from_from, kBesideM);
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
  placement.play_m = play_m(information, corners, std::max(kLeastNoiseM, placement.residual_m));
  constexpr double kDamping = 1e-6;  // keeps what nothing holds where it is
  normal_matrix.diagonal().array() += kDamping * normal_matrix.trace();
  placement.scale = 1 + normal_matrix.ldlt().solve(right)[6];
}

/// The axis frame of a log at its first track point: x along it, z as near to up as may be.
Eigen::Isometry3d track_frame(const std::vector<TrackPoint>& track, bool turned_round) {
  const Eigen::Vector3d first = track.front().centre_m;
  const Eigen::Vector3d last = track.back().centre_m;
  Eigen::Isometry3d frame = Eigen::Isometry3d::Identity();
  const Eigen::Vector3d x = (turned_round ? first - last : last - first).normalized();
  const Eigen::Vector3d y = Eigen::Vector3d::UnitZ().cross(x).normalized();
  frame.linear() << x, y, x.cross(y);
  frame.translation() = turned_round ? last : first;
  return frame;
}

double track_length_m(const AlignView& view) {
  return (view.track.back().centre_m - view.track.front().centre_m).norm();
}

/// Log on log with one end on the other's, either way round; without ground also turned about it.
std::vector<Eigen::Isometry3d> guess_by_ends(const AlignView& onto, const AlignView& from) {
  std::vector<Eigen::Isometry3d> guesses;
  const Eigen::Isometry3d onto_frame = track_frame(onto.track, false);
  const int rolls = onto.has_ground && from.has_ground ? 1 : kRolls;
  for (const bool turned_round : {false, true}) {
    for (int roll = 0; roll < rolls; ++roll) {
      const Eigen::AngleAxisd turn(2 * std::numbers::pi * roll / kRolls, Eigen::Vector3d::UnitX());
      for (const double s : {0.0, track_length_m(onto) - track_length_m(from)}) {
        guesses.push_back(onto_frame * Eigen::Translation3d(s, 0, 0) * turn *
                          track_frame(from.track, turned_round).inverse());
      }
    }
  }
  return guesses;
}

/// Log on log, either way round, at every shift along it at which they share some length.
std::vector<Eigen::Isometry3d> guess_by_slides(const AlignView& onto, const AlignView& from) {
  std::vector<Eigen::Isometry3d> guesses;
  const double onto_m = track_length_m(onto);
  for (const bool turned_round : {false, true}) {
    for (double s = kLeastSharedLogM - track_length_m(from); s <= onto_m - kLeastSharedLogM;
         s += kSlideStepM) {
      guesses.push_back(track_frame(onto.track, false) * Eigen::Translation3d(s, 0, 0) *
                        track_frame(from.track, turned_round).inverse());
    }
  }
  return guesses;
}

bool same(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b) {
  const Eigen::Isometry3d apart = a.inverse() * b;
  return apart.translation().norm() < kSamePlaceM && Eigen::AngleAxisd(apart.linear()).angle() < kSameTurnRad;
}

struct Ranked {
  Eigen::Isometry3d pose;
  double rank = 0;
};

/// Adds a pose unless there is one like it.
void add_different(const Ranked& pose, std::vector<Ranked>& poses) {
  if (std::none_of(poses.begin(), poses.end(), [&](const Ranked& p) { return same(p.pose, pose.pose); })) {
    poses.push_back(pose);
  }
}

/// The guesses, laid on roughly, best first.
std::vector<Ranked> rank_guesses(const RegistrationTarget& onto, const SurfacePoints& sample,
                                 const std::vector<Eigen::Isometry3d>& guesses) {
  std::vector<Ranked> all;
  for (const Eigen::Isometry3d& guess : guesses) {
    Ranked ranked{onto.refine(sample, guess, kCoarseReach, kCoarseRounds), 0};
    const auto near = onto.matches(sample, ranked.pose, kOtherSurfaceM + kCoarseGridM);
    const Eigen::Isometry3f pose_f = ranked.pose.cast<float>();
    for (const Match& match : near) {
      const Eigen::Vector3f& normal = onto.points().normals[match.target];
      const double off =
          std::abs(normal.dot(pose_f * sample.points_m[match.source] - onto.points().points_m[match.target]));
      const double turned =
          std::abs(normal.dot(pose_f.linear() * sample.normals[match.source])) > kSameDirection ? 1 : -1;
      ranked.rank += turned > 0 ? 1 - 2 * off / kCoarseFitM : -1;
    }
    // Little that lies close says more than much that lies roughly.
    ranked.rank /= std::sqrt(std::max<double>(1, static_cast<double>(near.size())));
    all.push_back(ranked);
  }
  std::stable_sort(all.begin(), all.end(), [](const Ranked& a, const Ranked& b) { return a.rank > b.rank; });
  std::vector<Ranked> different;
  for (const Ranked& ranked : all) {
    add_different(ranked, different);
  }
  return different;
}

bool better(const Placement& a, const Placement& b) {
  return agree(a) != agree(b) ? agree(a)
         : agree(a)           ? a.misfit_m < b.misfit_m
                              : a.same_share * a.overlap_share > b.same_share * b.overlap_share;
}

/// The first of those that are the same.
std::vector<Placement> different(const std::vector<Placement>& placements) {
  std::vector<Placement> kept;
  for (const Placement& placement : placements) {
    if (std::none_of(kept.begin(), kept.end(),
                     [&](const Placement& k) { return same(k.onto_from_from, placement.onto_from_from); })) {
      kept.push_back(placement);
    }
  }
  return kept;
}

}  // namespace

AlignView align_view(const Cloud& in_metres, const std::optional<Eigen::Vector3d>& up) {
  AlignView view;
  OrientOptions options;
  options.up = up;
  const OrientResult oriented = orient(in_metres, options);
  view.has_ground = oriented.ground.has_value();
  view.track = rough_track(oriented.cloud, oriented.ground);
  const Cloud near = around_log(oriented.cloud, view.track);
  const Eigen::Vector3d middle_m = middle_of(near);
  view.view_from_file = Eigen::Translation3d(-middle_m) * Eigen::Isometry3d(oriented.scan_from_file);
  view.coarse = surface_of(thin(near, kCoarseGridM), middle_m, kCoarseNormalsM);
  view.fine = surface_of(thin(near, kFineGridM), middle_m, kFineNormalsM);
  std::optional<Ground> ground = oriented.ground;
  if (ground) {
    ground->point_m -= middle_m;
  }
  for (TrackPoint& t : view.track) {
    t.centre_m -= middle_m;
  }
  const std::vector<char> smooth = is_smooth(view.fine.points_m, view.fine.normals);
  for (const std::size_t i : above_ground(view.fine.points_m, Eigen::Vector3d::Zero(), ground)) {
    if (belongs_to(view.track, view.fine.points_m[i])) {
      view.log.points_m.push_back(view.fine.points_m[i]);
      view.log.normals.push_back(view.fine.normals[i]);
    } else if (smooth[i] == 1) {
      view.beside.points_m.push_back(view.fine.points_m[i]);
      view.beside.normals.push_back(view.fine.normals[i]);
    }
  }
  return view;
}

bool agree(const Placement& placement) {
  return placement.overlap_share >= kLeastOverlap && placement.same_share >= kLeastSame &&
         placement.residual_m <= placement.most_residual_m;
}

bool shows_same_place(const Placement& placement) {
  return placement.beside_share.value_or(1) >= kLeastBeside;
}

bool is_straight(const Placement& placement) {
  return placement.bend_m <= kMostBendM;
}

bool holds(const Placement& placement) {
  return placement.play_m.value_or(0) <= kMostPlayM;
}

bool is_close(const Placement& placement) {
  return agree(placement) && placement.residual_m <= kCloseM;
}

Aligner::Aligner(const AlignView& onto, const AlignView& from)
    : onto_(onto),
      from_(from),
      onto_target_(onto.fine),
      from_target_(from.fine),
      most_residual_m_(std::clamp(
          kMostOfRoughness * std::hypot(roughness_m(onto, onto_target_), roughness_m(from, from_target_)) /
              std::numbers::sqrt2,
          kLeastMostResidualM, kMostResidualM)),
      sample_(balanced(from, kFineSample)),
      large_sample_(balanced(from, kLastSample)) {}

/// Judged from both sides: the smaller scan may lie wholly on the larger.
Placement Aligner::judged(const Eigen::Isometry3d& pose) const {
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
  placement.residual_m = median_of(log.distances_m);
  placement.most_residual_m = most_residual_m_;
  placement.misfit_m = log.misfit_m();
  double ignored = 0;
  const Tally beside = both(from_.beside, onto_.beside, ignored);
  if (beside.over >= kLeastBesidePoints) {
    placement.beside_share = beside.one_share();
  }
  // Where nothing stands in both scans, that is worth half of what fits.
  placement.misfit_m =
      (placement.misfit_m + (placement.beside_share ? beside.misfit_m() : kOneSurfaceM / 2)) / 2;
  return placement;
}

/// With what the noise and the drift leave open.
Placement Aligner::judged_closely(const Eigen::Isometry3d& pose) const {
  Placement placement = judged(pose);
  Points3d corners = corners_of(onto_.track);
  for (const Eigen::Vector3d& q : corners_of(from_.track)) {
    corners.emplace_back(pose * q);
  }
  judge_hold(large_sample_, onto_target_, corners, axis_of(onto_.track), placement);
  return placement;
}

Placement Aligner::as_given() const {
  return judged_closely(onto_.view_from_file * from_.view_from_file.inverse());
}

std::vector<Placement> Aligner::search() const {
  const RegistrationTarget coarse(onto_.coarse);
  const SurfacePoints coarse_sample = balanced(from_, kCoarseSample);
  std::vector<Ranked> poses;
  const auto consider = [&](const std::vector<Eigen::Isometry3d>& guesses) {
    const std::vector<Ranked> ranked = rank_guesses(coarse, coarse_sample, guesses);
    for (std::size_t i = 0; i < std::min(ranked.size(), kRefined); ++i) {
      const Eigen::Isometry3d nearer =
          onto_target_.refine(coarse_sample, ranked[i].pose, kMiddleReach, kFineRounds);
      add_different({onto_target_.refine(sample_, nearer, kFineReach, kFineRounds), ranked[i].rank}, poses);
    }
  };
  consider({onto_.view_from_file * from_.view_from_file.inverse()});
  if (onto_.track.size() > 1 && from_.track.size() > 1) {
    consider(guess_by_ends(onto_, from_));
    consider(guess_by_slides(onto_, from_));
  }
  std::vector<Placement> found;
  for (const Ranked& pose : poses) {
    found.push_back(judged(pose.pose));
  }
  std::stable_sort(found.begin(), found.end(), better);
  return settled(found);
}

/// The best of them laid on closely, each with its neighbours along the log: noise makes a small valley every
/// few centimetres.
std::vector<Placement> Aligner::settled(const std::vector<Placement>& found) const {
  std::vector<Placement> all = found;
  const Eigen::Vector3d along = axis_of(onto_.track);
  for (std::size_t i = 0; i < std::min(found.size(), kSettled); ++i) {
    for (const double slide_m : {0.0, -0.1, -0.06, -0.03, 0.03, 0.06, 0.1}) {
      if (slide_m == 0 || !along.isZero()) {
        all.push_back(judged(
            onto_target_.refine(sample_, Eigen::Translation3d(slide_m * along) * found[i].onto_from_from,
                                kFineReach, kFineRounds)));
      }
    }
  }
  std::stable_sort(all.begin(), all.end(), better);
  std::vector<Placement> close = different(all);
  for (std::size_t i = 0; i < close.size() && (i < kSettled || !close.front().play_m); ++i) {
    const auto next = std::find_if(close.begin(), close.end(),
                                   [](const Placement& placement) { return !placement.play_m; });
    *next = refined(*next);
    std::stable_sort(close.begin(), close.end(), better);
  }
  return different(close);
}

Placement Aligner::refined(const Placement& placement) const {
  return judged_closely(
      onto_target_.refine(large_sample_, placement.onto_from_from, kFineReach, kLastRounds));
}

}  // namespace flitchwise::scan
