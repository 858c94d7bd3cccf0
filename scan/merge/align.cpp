#include "scan/merge/align.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::scan {
namespace {

constexpr std::size_t kCoarseSample = 1500;
constexpr std::size_t kFineSample = 4000;
constexpr std::size_t kLastSample = 20'000;
constexpr double kSlideStep_m = 0.15;      // the refinement reaches half of this either way
constexpr double kLeastSharedLog_m = 0.4;  // scans of a log that share less have too little in common
constexpr int kRolls = 12;  // where no ground says which way is up: 30 degrees, half of it refined
constexpr Reach kCoarseReach{0.25, 0.1};
constexpr Reach kMiddleReach{0.1, 0.04};
constexpr Reach kFineReach{0.04, 0.02};  // a grid step beside
constexpr int kCoarseRounds = 8;
constexpr int kFineRounds = 12;
constexpr int kLastRounds = 60;
constexpr std::size_t kSettled = 3;
constexpr std::size_t kRefined = 12;  // of the coarse poses of one kind, so many are looked at closely
constexpr double kCoarseFit_m = 0.03;
constexpr double kSamePlace_m = 0.03;
constexpr double kSameTurn_rad = 0.03;

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
    for (double s = kLeastSharedLog_m - track_length_m(from); s <= onto_m - kLeastSharedLog_m;
         s += kSlideStep_m) {
      guesses.push_back(track_frame(onto.track, false) * Eigen::Translation3d(s, 0, 0) *
                        track_frame(from.track, turned_round).inverse());
    }
  }
  return guesses;
}

bool same(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b) {
  const Eigen::Isometry3d apart = a.inverse() * b;
  return apart.translation().norm() < kSamePlace_m &&
         Eigen::AngleAxisd(apart.linear()).angle() < kSameTurn_rad;
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
    const auto near = onto.matches(sample, ranked.pose, kOtherSurface_m + kCoarseGrid_m);
    const Eigen::Isometry3f pose_f = ranked.pose.cast<float>();
    for (const Match& match : near) {
      const Eigen::Vector3f& normal = onto.points().normals[match.target];
      const double off =
          std::abs(normal.dot(pose_f * sample.points_m[match.source] - onto.points().points_m[match.target]));
      const double turned =
          std::abs(normal.dot(pose_f.linear() * sample.normals[match.source])) > kSameDirection ? 1 : -1;
      ranked.rank += turned > 0 ? 1 - 2 * off / kCoarseFit_m : -1;
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
std::vector<Placement> different(const std::vector<Placement>& fits) {
  std::vector<Placement> kept;
  for (const Placement& placement : fits) {
    if (std::none_of(kept.begin(), kept.end(),
                     [&](const Placement& k) { return same(k.onto_from_from, placement.onto_from_from); })) {
      kept.push_back(placement);
    }
  }
  return kept;
}

}  // namespace

Aligner::Aligner(const AlignView& onto, const AlignView& from)
    : onto_(onto),
      from_(from),
      judge_(onto, from),
      sample_(balanced(from, kFineSample)),
      large_sample_(balanced(from, kLastSample)) {}

Placement Aligner::as_given() const {
  return judge_.judged_closely(large_sample_, onto_.view_from_file * from_.view_from_file.inverse());
}

std::vector<Placement> Aligner::search() const {
  const RegistrationTarget coarse(onto_.coarse);
  const SurfacePoints coarse_sample = balanced(from_, kCoarseSample);
  std::vector<Ranked> poses;
  const auto consider = [&](const std::vector<Eigen::Isometry3d>& guesses) {
    const std::vector<Ranked> ranked = rank_guesses(coarse, coarse_sample, guesses);
    for (std::size_t i = 0; i < std::min(ranked.size(), kRefined); ++i) {
      const Eigen::Isometry3d nearer =
          judge_.onto().refine(coarse_sample, ranked[i].pose, kMiddleReach, kFineRounds);
      add_different({judge_.onto().refine(sample_, nearer, kFineReach, kFineRounds), ranked[i].rank}, poses);
    }
  };
  consider({onto_.view_from_file * from_.view_from_file.inverse()});
  if (onto_.track.size() > 1 && from_.track.size() > 1) {
    consider(guess_by_ends(onto_, from_));
    consider(guess_by_slides(onto_, from_));
  }
  std::vector<Placement> found;
  for (const Ranked& pose : poses) {
    found.push_back(judge_.judged(pose.pose));
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
        all.push_back(judge_.judged(
            judge_.onto().refine(sample_, Eigen::Translation3d(slide_m * along) * found[i].onto_from_from,
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
  return judge_.judged_closely(
      large_sample_, judge_.onto().refine(large_sample_, placement.onto_from_from, kFineReach, kLastRounds));
}

}  // namespace flitchwise::scan
