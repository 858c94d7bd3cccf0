#include "scan/find/candidates.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/find/ground.hpp"
#include "scan/find/log_ends.hpp"
#include "scan/model/robust.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kSceneGrid_m = 0.02;      // fine enough for a log 80 mm thick
constexpr double kSceneNormals_m = 0.055;  // neighbourhood that averages scan noise and rough bark
constexpr double kRivalShare = 0.7;  // of the likeliest log's figure; a neighbour seen from one side has less
constexpr double kOffMiddle_m = 0.8;            // a log this far off the scene's middle is half as likely
constexpr double kOnTrack = 0.12;               // of the radius: points on a track's surface
constexpr std::size_t kSampledPoints = 100000;  // of the scan, to compare how finely logs were seen
constexpr std::size_t kMostTracks = 6;          // seeds on new logs that are walked
constexpr double kSameLog = 1.3;                // of the radius around a track
// Length over largest diameter: a boulder or a ball is round, too, but no longer than it is wide.
constexpr double kLeastSlenderness = 1.2;
constexpr double kNear_m = 0.5;       // a point picked in a viewer lies on the log or beside it
constexpr double kNearSeeds_m = 1.2;  // seeds this far from it find its log

bool lies_on(const std::vector<TrackPoint>& track, const Eigen::Vector3d& point_m) {
  return std::any_of(track.begin(), track.end(), [&](const TrackPoint& t) {
    return (t.centre_m - point_m).norm() < kSameLog * std::max(t.radius_m, 0.1);
  });
}

/// From a point to the bark of a track's log.
double distance_m(const std::vector<TrackPoint>& track, const Eigen::Vector3d& point_m) {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < track.size(); ++i) {
    const Eigen::Vector3d way = track[i + 1].centre_m - track[i].centre_m;
    const double u = std::clamp(way.dot(point_m - track[i].centre_m) / way.squaredNorm(), 0.0, 1.0);
    const double off = (track[i].centre_m + u * way - point_m).norm() - track[i].radius_m;
    least = std::min(least, std::max(0.0, off));
  }
  return least;
}

bool has_size_of_log(const std::vector<TrackPoint>& track, const IsolateOptions& options) {
  std::vector<double> radii;
  for (const TrackPoint& t : track) {
    radii.push_back(t.radius_m);
  }
  const double most_m = 2 * *std::max_element(radii.begin(), radii.end());
  const double usual_m = 2 * median(std::move(radii));
  return length_m(track) >= std::max(options.least_length_m, kLeastSlenderness * most_m) &&
         usual_m >= options.least_diameter_m && usual_m <= options.most_diameter_m;
}

/// Middle of the scene: half of its points lie on either side along each axis.
Eigen::Vector3d middle_of(const Cloud& cloud) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  const std::size_t step = std::max<std::size_t>(1, cloud.size() / kSampledPoints);
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    std::vector<double> values;
    for (std::size_t i = 0; i < cloud.size(); i += step) {
      values.push_back(cloud.points[i][axis]);
    }
    middle[axis] = median(std::move(values));
  }
  return middle;
}

/// Scan points a square metre of a track's seen surface, but for a factor that is the same for all tracks.
double fineness(const std::vector<TrackPoint>& track, const Cloud& cloud) {
  const TrackFrame frame(track);
  const std::size_t step = std::max<std::size_t>(1, cloud.size() / kSampledPoints);
  double count = 1;
  for (std::size_t i = 0; i < cloud.size(); i += step) {
    const auto place = frame.place_of(cloud.points[i].cast<double>());
    const bool on_it = place.along_m > 0 && place.along_m < frame.chord_m() &&
                       std::abs(place.across_m.norm() - place.radius_m) < kOnTrack * place.radius_m;
    count += on_it ? 1 : 0;
  }
  double seen = 1e-9;
  for (const TrackPoint& t : track) {
    seen += t.arc_share * t.radius_m;
  }
  return count / seen;
}

/// How well a log was seen: a scan is finest on the log that it was made for.
double evidence(const std::vector<TrackPoint>& track, const Cloud& cloud) {
  return rank(track) * std::sqrt(fineness(track, cloud));
}

/// People keep the log in the middle of the scan.
double middle_share(const std::vector<TrackPoint>& track, const Eigen::Vector3d& middle_m) {
  const double off = distance_m(track, middle_m) / kOffMiddle_m;
  return 1 / (1 + off * off);
}

/// Every round thing that the scene holds, the best seen first: logs and stems, also those too short or thin.
std::vector<std::vector<TrackPoint>> find_tracks(const Scene& scene, const Points& fine_m,
                                                 const IsolateOptions& options,
                                                 const std::optional<Eigen::Vector3d>& near_m) {
  std::vector<std::vector<TrackPoint>> walked;  // past sawn faces, too
  std::vector<std::vector<TrackPoint>> tracks;
  if (scene.points.empty()) {
    return tracks;
  }
  const NeighbourSearch search(scene.points);
  std::vector<Seed> seeds = find_seeds(scene, search, options);
  if (near_m) {  // so that many better logs elsewhere do not use up the tracks
    std::stable_partition(seeds.begin(), seeds.end(), [&](const Seed& seed) {
      return (seed.centre_m - *near_m).norm() < kNearSeeds_m + seed.radius_m;
    });
  }
  for (const Seed& seed : seeds) {
    const auto is_known = [&](const Eigen::Vector3d& place_m) {
      return std::any_of(walked.begin(), walked.end(),
                         [&](const auto& track) { return lies_on(track, place_m); });
    };
    if (walked.size() >= kMostTracks || is_known(seed.centre_m)) {
      continue;
    }
    auto track = walk(seed, scene, search);
    if (track.size() < 3) {
      continue;
    }
    auto pieces = cut_at_faces(track, scene, fine_m);
    const bool cut = pieces.size() != 1 || pieces.front().size() != track.size();
    for (auto& piece : pieces) {
      // A track from something behind a log runs on along that log, which is known.
      if (!cut || !is_known(piece[piece.size() / 2].centre_m)) {
        tracks.push_back(std::move(piece));
      }
    }
    walked.push_back(std::move(track));
  }
  std::stable_sort(tracks.begin(), tracks.end(),
                   [](const auto& a, const auto& b) { return rank(a) > rank(b); });
  return tracks;
}

}  // namespace

Scene make_scene(const Cloud& in_scan, const std::optional<Ground>& ground) {
  const Cloud coarse = thin(in_scan, kSceneGrid_m);
  const Points all_normals = estimate_normals(coarse.points, kSceneNormals_m);
  Scene scene;
  for (const std::size_t i : above_ground(coarse.points, coarse.origin, ground)) {
    if (all_normals[i].squaredNorm() > 0) {
      scene.points.push_back(coarse.points[i]);
      scene.normals.push_back(all_normals[i]);
    }
  }
  return scene;
}

std::vector<TrackPoint> smoothed(const std::vector<TrackPoint>& track) {
  constexpr std::ptrdiff_t kHalf = 3;
  const auto n = static_cast<std::ptrdiff_t>(track.size());
  const Eigen::Vector3d axis = (track.back().centre_m - track.front().centre_m).normalized();
  std::vector<TrackPoint> result;
  double last_along_m = -std::numeric_limits<double>::infinity();
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    // A window of fixed size, moved inwards at the ends, keeps the line's slope there.
    const std::ptrdiff_t from =
        std::clamp(i - kHalf, std::ptrdiff_t{0}, std::max(std::ptrdiff_t{0}, n - 2 * kHalf - 1));
    const std::ptrdiff_t to = std::min(n, from + 2 * kHalf + 1);
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
    Eigen::Matrix<double, 2, 4> right = Eigen::Matrix<double, 2, 4>::Zero();
    const double here_m = axis.dot(track[static_cast<std::size_t>(i)].centre_m);
    for (std::ptrdiff_t k = from; k < to; ++k) {
      const TrackPoint& t = track[static_cast<std::size_t>(k)];
      const Eigen::Vector2d a(1, axis.dot(t.centre_m) - here_m);
      Eigen::Matrix<double, 1, 4> b;
      b << t.centre_m.transpose(), t.radius_m;
      normal += a * a.transpose();
      right += a * b;
    }
    const Eigen::Matrix<double, 2, 4> line = normal.inverse() * right;
    TrackPoint t = track[static_cast<std::size_t>(i)];
    t.centre_m = line.row(0).head<3>().transpose();
    t.radius_m = line(0, 3);
    const double along_m = axis.dot(t.centre_m);
    if (along_m > last_along_m + 1e-3) {
      result.push_back(t);
      last_along_m = along_m;
    }
  }
  return result;
}

Candidates find_candidates(const Scene& scene, const Cloud& fine, const Cloud& cloud,
                           const IsolateOptions& options, const std::optional<Eigen::Vector3d>& near_m) {
  const std::vector<std::vector<TrackPoint>> tracks = find_tracks(scene, fine.points, options, near_m);
  struct Entry {
    std::size_t track;
    bool is_log;
    double seen;
    double score;
  };
  std::vector<Entry> entries;
  const Eigen::Vector3d middle_m = cloud.empty() ? Eigen::Vector3d::Zero() : middle_of(cloud);
  for (std::size_t i = 0; i < tracks.size(); ++i) {
    const double near = near_m ? distance_m(tracks[i], *near_m) : 0;
    const bool is_log = has_size_of_log(tracks[i], options) && near < kNear_m;
    const double seen = is_log ? evidence(tracks[i], cloud) : 0;
    entries.push_back({i, is_log, seen, near_m ? -near : seen * middle_share(tracks[i], middle_m)});
  }
  std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return a.is_log != b.is_log ? a.is_log : a.score > b.score;
  });
  Candidates result;
  for (const Entry& e : entries) {
    result.tracks.push_back(tracks[e.track]);
    result.logs += e.is_log ? 1 : 0;
  }
  // The best seen of the others.
  if (!near_m && result.logs > 1) {
    const auto last = entries.begin() + static_cast<std::ptrdiff_t>(result.logs);
    const auto other = std::max_element(entries.begin() + 1, last,
                                        [](const Entry& a, const Entry& b) { return a.seen < b.seen; });
    if (other->seen > kRivalShare * entries.front().seen) {
      result.rival = tracks[other->track][tracks[other->track].size() / 2].centre_m;
    }
  }
  return result;
}

std::vector<TrackPoint> rough_track(const Cloud& in_scan, const std::optional<Ground>& ground,
                                    const IsolateOptions& options) {
  const Scene scene = make_scene(in_scan, ground);
  const Cloud fine = thin(in_scan, kSurfaceGrid_m);
  const Candidates found = find_candidates(scene, fine, in_scan, options, std::nullopt);
  if (found.logs == 0) {
    return {};
  }
  std::vector<TrackPoint> track = smoothed(found.tracks.front());
  for (TrackPoint& t : track) {
    t.centre_m += in_scan.origin;
  }
  return track;
}

}  // namespace flitchwise::scan
