#include "scan/find/breaks.hpp"

#include <Eigen/Geometry>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/model/robust.hpp"
#include "scan/model/units.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kKinkReach_m = 0.45;  // straight lines over this on either side of a kink
constexpr std::size_t kLeastLinePoints = 4;
// A log with 120 mm of sweep over 3 m turns by 5 degrees between the middles of the two lines.
constexpr double kLeastKink_rad = 11 * kRadADegree;
constexpr double kBends = 0.7;        // of a kink: where a bend begins
constexpr double kCornerLengths = 2;  // a bend this much longer than a corner's trace is no corner
constexpr double kCornerSpare_m = 0.15;
constexpr double kMostCrook = 1.5;   // kinks: a sharper bend is taken for a break, however long
constexpr double kLeastShift = 0.3;  // of the radius: the two lines miss each other by this at a break
constexpr double kGap_m = 0.08;      // no bark on any side over this length; what lies over a log is narrower
constexpr double kGapBin_m = 0.02;
constexpr double kGapShare = 0.06;    // of the usual number of points a bin
constexpr double kGapBand = 0.2;      // of the radius
constexpr double kGapClear_m = 0.15;  // from the track's ends, which need not be the log's
constexpr double kStemThins =
    0.86;  // of its radius the log keeps at most, past a fork; beside a limb it keeps more
constexpr double kStemWindow_m = 0.5;
constexpr double kStemMeets = 0.9;  // of the log's radius: how near a stem's middle line passes to the log's
constexpr double kStemReach = 4.5;  // radii from a stem's first slice back to the log
constexpr double kLeastStem = 0.4;  // of the log's radius; thinner is a limb
constexpr double kLeastStem_rad = 5 * kRadADegree;
constexpr double kMostStem_rad = 75 * kRadADegree;
constexpr double kSafety_m = 0.15;  // the wood round a fork or a break is torn, swollen or has bark grown in

using Track = std::vector<TrackPoint>;

std::vector<double> along(const Track& track) {
  std::vector<double> sum{0};
  for (std::size_t i = 1; i < track.size(); ++i) {
    sum.push_back(sum.back() + (track[i].centre_m - track[i - 1].centre_m).norm());
  }
  return sum;
}

struct Line {
  Eigen::Vector3d point = Eigen::Vector3d::Zero();
  Eigen::Vector3d direction = Eigen::Vector3d::UnitX();
  Eigen::Vector3d nearest_to(const Eigen::Vector3d& p) const {
    return point + direction * direction.dot(p - point);
  }
};

/// Least-squares line through the track's points [begin, end), in the track's direction.
Line line_through(const Track& track, std::size_t begin, std::size_t end) {
  Line line;
  Eigen::MatrixX3d offsets(static_cast<Eigen::Index>(end - begin), 3);
  for (std::size_t i = begin; i < end; ++i) {
    line.point += track[i].centre_m / static_cast<double>(end - begin);
  }
  for (std::size_t i = begin; i < end; ++i) {
    offsets.row(static_cast<Eigen::Index>(i - begin)) = (track[i].centre_m - line.point).transpose();
  }
  const Eigen::JacobiSVD<Eigen::MatrixX3d> svd(offsets, Eigen::ComputeThinV);
  line.direction = svd.matrixV().col(0);
  line.direction *= line.direction.dot(track[end - 1].centre_m - track[begin].centre_m) < 0 ? -1 : 1;
  return line;
}

/// How badly the track's points before `i` and from it on fail to lie on one line: 1 is a kink.
double kink_at(const Track& track, const std::vector<double>& place, std::size_t i) {
  std::size_t begin = i;
  std::size_t end = i;
  while (begin > 0 && place[i - 1] - place[begin - 1] <= kKinkReach_m) {
    --begin;
  }
  while (end < track.size() && place[end] - place[i] <= kKinkReach_m) {
    ++end;
  }
  if (i - begin < kLeastLinePoints || end - i < kLeastLinePoints) {
    return 0;
  }
  const Line before = line_through(track, begin, i);
  const Line after = line_through(track, i, end);
  const Eigen::Vector3d joint = (track[i - 1].centre_m + track[i].centre_m) / 2;
  const double turn = std::acos(std::clamp(before.direction.dot(after.direction), -1.0, 1.0));
  const double shift = (before.nearest_to(joint) - after.nearest_to(joint)).norm() / track[i].radius_m;
  return std::max(turn / kLeastKink_rad, shift / kLeastShift);
}

/// Length over which a corner of this sharpness shows as more than kBends. With a corner at the share u of
/// one line's reach its least-squares direction turns by 1 - 3 u^2 + 2 u^3 of the corner's turn.
double corner_length_m(double sharpness) {
  double least = 0;
  double most = 1;
  for (int halving = 0; halving < 30; ++halving) {
    const double u = (least + most) / 2;
    (sharpness * (1 - 3 * u * u + 2 * u * u * u) > kBends ? least : most) = u;
  }
  return 2 * least * kKinkReach_m;
}

void find_kinks(const Track& track, const std::vector<double>& place, std::vector<Break>& breaks) {
  std::size_t at = 0;    // the sharpest place of this bend; 0: none
  std::size_t from = 0;  // where it began
  double sharpest = 0;
  for (std::size_t i = 1; i <= track.size(); ++i) {
    const double kink = i < track.size() ? kink_at(track, place, i) : 0;
    if (kink > kBends && kink > sharpest) {
      from = at == 0 ? i : from;
      sharpest = kink;
      at = i;
    } else if (kink <= kBends && at > 0) {
      // A stem that grew crooked turns little by little; a plan can follow that.
      const double most_m = kCornerLengths * corner_length_m(sharpest) + kCornerSpare_m;
      const bool crook = sharpest < kMostCrook && place[i - 1] - place[from] > most_m;
      if (sharpest > 1 && !crook) {
        breaks.push_back({Flaw::kink, place[at - 1], place[at]});
      }
      at = 0;
      sharpest = 0;
    }
  }
}

void find_gaps(const Track& track, const std::vector<double>& place, const Scene& scene,
               std::vector<Break>& breaks) {
  if (track.size() < 2) {
    return;
  }
  const TrackFrame frame(track);
  std::vector<double> counts(static_cast<std::size_t>(std::max(0.0, frame.chord_m()) / kGapBin_m) + 1, 0);
  for (std::size_t i = 0; i < scene.points.size(); ++i) {
    const auto spot = frame.place_of(scene.points[i].cast<double>());
    const double bin = spot.along_m / kGapBin_m;
    const double facing = std::abs(scene.normals[i].cast<double>().dot(spot.across_m));
    if (bin >= 0 && bin < static_cast<double>(counts.size()) && facing > 0.7 * spot.across_m.norm() &&
        std::abs(spot.across_m.norm() - spot.radius_m) < kGapBand * spot.radius_m) {
      counts[static_cast<std::size_t>(bin)] += 1;
    }
  }
  const double least = kGapShare * median(counts);
  const double stretch = place.back() / std::max(1e-9, frame.chord_m());
  for (std::size_t i = 0; i < counts.size(); ++i) {
    std::size_t end = i;
    while (end < counts.size() && counts[end] <= least) {
      ++end;
    }
    const double begin_m = static_cast<double>(i) * kGapBin_m;
    const double end_m = static_cast<double>(end) * kGapBin_m;
    if (end_m - begin_m >= kGap_m && begin_m > kGapClear_m && end_m < frame.chord_m() - kGapClear_m) {
      breaks.push_back({Flaw::gap, begin_m * stretch, end_m * stretch});
    }
    i = std::max(i, end);
  }
}

double median_radius_m(const Track& track, const std::vector<double>& place, double begin_m, double end_m) {
  std::vector<double> radii;
  for (std::size_t i = 0; i < track.size(); ++i) {
    if (place[i] >= begin_m && place[i] <= end_m) {
      radii.push_back(track[i].radius_m);
    }
  }
  return median(std::move(radii));
}

/// Where the stem's middle line, prolonged backwards from its first slice, meets the log's: place along the
/// log. `stem` runs away from the log.
std::optional<double> meets(const Track& log, const std::vector<double>& place, const Track& stem) {
  const Line line = line_through(stem, 0, std::min<std::size_t>(stem.size(), 6));
  std::optional<double> found;
  double nearest = kStemMeets;
  for (std::size_t i = 0; i + 1 < log.size(); ++i) {
    const Eigen::Vector3d step = (log[i + 1].centre_m - log[i].centre_m).normalized();
    const double turn = std::acos(std::min(1.0, std::abs(line.direction.dot(step))));
    const double back_m = line.direction.dot(stem.front().centre_m - log[i].centre_m);
    const double miss = (line.nearest_to(log[i].centre_m) - log[i].centre_m).norm() / log[i].radius_m;
    const double share = stem.front().radius_m / log[i].radius_m;
    if (miss < nearest && turn > kLeastStem_rad && turn < kMostStem_rad && back_m > -log[i].radius_m &&
        back_m < kStemReach * log[i].radius_m && share > kLeastStem && share < 1.1) {
      nearest = miss;
      found = place[i];
    }
  }
  return found;
}

void find_forks(const std::vector<Track>& tracks, const std::vector<double>& place,
                std::vector<Break>& breaks) {
  const Track& log = tracks.front();
  for (std::size_t k = 1; k < tracks.size(); ++k) {
    for (const bool turned : {false, true}) {
      Track stem = tracks[k];
      if (turned) {
        std::reverse(stem.begin(), stem.end());
      }
      const auto at = meets(log, place, stem);
      if (!at) {
        continue;
      }
      const double before = median_radius_m(log, place, *at - kStemWindow_m, *at - 0.1);
      const double after = median_radius_m(log, place, *at + 0.1, *at + kStemWindow_m + 0.2);
      const double thicker = std::max(before, after);
      const double thinner = std::min(before, after);
      // Past its last slice the log itself was lost: the track ended in the fork.
      if (thinner == 0 || thinner < kStemThins * thicker) {
        breaks.push_back({Flaw::fork, *at, *at});
      }
    }
  }
}

}  // namespace

std::vector<Break> find_breaks(const std::vector<Track>& tracks, const Scene& scene) {
  std::vector<Break> breaks;
  const std::vector<double> place = along(tracks.front());
  find_forks(tracks, place, breaks);
  const bool forks = !breaks.empty();
  if (!forks) {
    find_kinks(tracks.front(), place, breaks);  // a track that turns into a stem is bent, too
    for (Break& kink : breaks) {
      const double before =
          median_radius_m(tracks.front(), place, kink.begin_m - kStemWindow_m, kink.begin_m - 0.1);
      const double after =
          median_radius_m(tracks.front(), place, kink.end_m + 0.1, kink.end_m + kStemWindow_m);
      const bool thins = std::min(before, after) < kStemThins * std::max(before, after);
      kink.flaw = thins ? Flaw::fork : Flaw::kink;  // a sharp bend where the log loses wood: a stem left it
    }
  }
  find_gaps(tracks.front(), place, scene, breaks);
  std::sort(breaks.begin(), breaks.end(),
            [](const Break& a, const Break& b) { return a.begin_m < b.begin_m; });
  return breaks;
}

SoundStretch longest_sound(const Track& track, const std::vector<Break>& breaks) {
  const std::vector<double> place = along(track);
  SoundStretch best;
  double from_m = 0;
  std::optional<Flaw> front;
  double longest_m = -1;
  for (std::size_t k = 0; k <= breaks.size(); ++k) {
    const bool last = k == breaks.size();
    const double to_m = last ? place.back() : breaks[k].begin_m - kSafety_m;
    if (to_m - from_m > longest_m) {
      longest_m = to_m - from_m;
      best = {{}, front, last ? std::nullopt : std::optional(breaks[k].flaw)};
      for (std::size_t i = 0; i < track.size(); ++i) {
        if (place[i] >= from_m - 1e-9 && place[i] <= to_m + 1e-9) {
          best.track.push_back(track[i]);
        }
      }
    }
    if (!last) {
      from_m = breaks[k].end_m + kSafety_m;
      front = breaks[k].flaw;
    }
  }
  return best;
}

}  // namespace flitchwise::scan
