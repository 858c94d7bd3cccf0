#include "flitchwise/scan/isolate.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <sstream>

#include "flitchwise/errors.hpp"
#include "flitchwise/scan/thin.hpp"
#include "ground.hpp"
#include "log_ends.hpp"
#include "pcl/pcl_adapter.hpp"
#include "track.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kSceneGridM = 0.02;      // fine enough for a log 80 mm thick
constexpr double kSceneNormalsM = 0.055;  // neighbourhood that averages scan noise and rough bark
constexpr double kSurfaceGridM = 0.005;   // below the noise of any phone scan
constexpr double kSurfaceNormalsM = 0.03;
constexpr double kSurfaceInside = 0.7;  // of the track's radius
constexpr double kSurfaceOutside = 1.35;
constexpr double kStubReachM = 0.12;    // stubs and lumps stand out as far as this
constexpr double kEndMarginM = 0.03;    // points of the rim beyond the end's plane
constexpr double kRivalShare = 0.75;    // of the best log's rank; a neighbour seen from one side has less
constexpr std::size_t kMostTracks = 6;  // seeds on new logs that are walked
constexpr double kSameLog = 1.3;        // of the radius around a track
// Length over largest diameter: a boulder or a ball is round, too, but no longer than it is wide.
constexpr double kLeastSlenderness = 1.2;
constexpr double kLeastArcShare = 0.33;  // mean over the log; the fit judges the arc more exactly

Scene make_scene(const Cloud& coarse, const std::optional<Ground>& ground) {
  const Points all_normals = estimate_normals(coarse.points, kSceneNormalsM);
  Scene scene;
  for (const std::size_t i : above_ground(coarse.points, coarse.origin, ground)) {
    if (all_normals[i].squaredNorm() > 0) {
      scene.points.push_back(coarse.points[i]);
      scene.normals.push_back(all_normals[i]);
    }
  }
  return scene;
}

bool lies_on(const std::vector<TrackPoint>& track, const Eigen::Vector3d& point_m) {
  return std::any_of(track.begin(), track.end(), [&](const TrackPoint& t) {
    return (t.centre_m - point_m).norm() < kSameLog * std::max(t.radius_m, 0.1);
  });
}

/// Local straight-line smoothing over half a metre, so that the track can be prolonged past its ends; places
/// that do not advance along the chord are dropped.
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

bool has_size_of_log(const std::vector<TrackPoint>& track, const IsolateOptions& options) {
  std::vector<double> radii;
  for (const TrackPoint& t : track) {
    radii.push_back(t.radius_m);
  }
  std::sort(radii.begin(), radii.end());
  const double usual_m = 2 * radii[radii.size() / 2];
  return length_m(track) >= std::max(options.least_length_m, kLeastSlenderness * 2 * radii.back()) &&
         usual_m >= options.least_diameter_m && usual_m <= options.most_diameter_m;
}

/// Every log that the scene holds, the best seen one first.
std::vector<std::vector<TrackPoint>> find_tracks(const Scene& scene, const IsolateOptions& options) {
  std::vector<std::vector<TrackPoint>> tracks;
  if (scene.points.empty()) {
    return tracks;
  }
  const NeighbourSearch search(scene.points);
  for (const Seed& seed : find_seeds(scene, search, options)) {
    const bool known = std::any_of(tracks.begin(), tracks.end(),
                                   [&](const auto& track) { return lies_on(track, seed.centre_m); });
    if (known || tracks.size() >= kMostTracks) {
      continue;
    }
    auto track = walk(seed, scene, search);
    if (track.size() >= 3) {
      tracks.push_back(std::move(track));
    }
  }
  std::erase_if(tracks, [&](const auto& track) { return !has_size_of_log(track, options); });
  std::stable_sort(tracks.begin(), tracks.end(),
                   [](const auto& a, const auto& b) { return rank(a) > rank(b); });
  return tracks;
}

double mean_arc_share(const std::vector<TrackPoint>& track) {
  double sum = 0;
  for (const TrackPoint& t : track) {
    sum += t.arc_share;
  }
  return sum / static_cast<double>(track.size());
}

std::string no_log_text(const IsolateOptions& options) {
  std::ostringstream text;
  text << "No log was found in the scan: nothing in it is round, level, at least " << options.least_length_m
       << " m long and between " << options.least_diameter_m << " and " << options.most_diameter_m
       << " m thick. Check that the file holds the log, that its unit is metres (or name it with --unit) and "
          "that up is right (or give --up).";
  return text.str();
}

/// Points between the two end planes and near the track, with normals.
void collect_surface(const Cloud& fine, const std::vector<std::size_t>& standing, const TrackFrame& frame,
                     const LogEnds& ends, LogCloud& log) {
  Points near;
  for (const std::size_t i : standing) {
    const Eigen::Vector3f& p = fine.points[i];
    const Eigen::Vector3d q = p.cast<double>();
    const auto place = frame.place_of(q);
    const double distance = place.across_m.norm();
    const bool between = ends.first.normal.dot(q - ends.first.point_m) < kEndMarginM &&
                         ends.last.normal.dot(q - ends.last.point_m) < kEndMarginM;
    if (between && distance > kSurfaceInside * place.radius_m &&
        distance < kSurfaceOutside * place.radius_m + kStubReachM) {
      near.push_back(p);
    }
  }
  const Points normals = estimate_normals(near, kSurfaceNormalsM);
  for (std::size_t i = 0; i < near.size(); ++i) {
    log.surface_m.push_back(near[i].cast<double>() + fine.origin);
    log.surface_normals.push_back(normals[i].cast<double>());
  }
}

void judge(const TrackFrame& frame, const LogEnds& ends, const IsolateOptions& options, LogCloud& log) {
  if ((log.last_end.point_m - log.first_end.point_m).norm() < options.least_length_m) {
    log.message = no_log_text(options);  // the track ran on past the log's ends
    return;
  }
  if (mean_arc_share(log.track) < kLeastArcShare) {
    log.status = LogCloud::Status::one_side_only;
    log.message =
        "The scan shows the log from one side only; the far side cannot be guessed well enough to saw by. "
        "Walk all the "
        "way round the log and scan it again.";
    return;
  }
  if (!options.allow_unseen_ends && (!ends.first.seen || !ends.last.seen)) {
    log.status = LogCloud::Status::end_not_seen;
    const bool both = !ends.first.seen && !ends.last.seen;
    const bool first_is_small = frame.radius_at(0) <= frame.radius_at(frame.chord_m());
    const bool small_missing = ends.first.seen != first_is_small;
    std::ostringstream text;
    text << "The scan shows no sawn face at "
         << (both            ? "either end"
             : small_missing ? "the small end"
                             : "the large end")
         << " of the log, so part of the log may be missing. Scan it again with both ends in view, or plan "
            "only what "
            "was seen with --allow-unseen-ends.";
    log.message = text.str();
    return;
  }
  log.status = LogCloud::Status::ok;
}

void to_scan_frame(const Eigen::Vector3d& origin_m, LogCloud& log) {
  for (TrackPoint& t : log.track) {
    t.centre_m += origin_m;
  }
  log.first_end.point_m += origin_m;
  log.last_end.point_m += origin_m;
}

}  // namespace

LogCloud isolate(const Cloud& in_scan, const std::optional<Ground>& ground, const IsolateOptions& options) {
  require(options.least_diameter_m > 0 && options.most_diameter_m > options.least_diameter_m,
          "the least and the most diameter of a log must be positive and in this order");
  require(options.least_length_m > 0, "the least length of a log must be positive");
  LogCloud log;
  const Scene scene = make_scene(thin(in_scan, kSceneGridM), ground);
  const auto tracks = find_tracks(scene, options);
  if (tracks.empty()) {
    log.message = no_log_text(options);
    return log;
  }
  log.rival_log = tracks.size() > 1 && rank(tracks[1]) > kRivalShare * rank(tracks.front());
  log.track = smoothed(tracks.front());
  const TrackFrame frame(log.track);
  const Cloud fine = thin(in_scan, kSurfaceGridM);
  const LogEnds ends = find_ends(fine.points, frame);
  log.first_end = ends.first;
  log.last_end = ends.last;
  collect_surface(fine, above_ground(fine.points, fine.origin, ground), frame, ends, log);
  judge(frame, ends, options, log);
  to_scan_frame(in_scan.origin, log);
  return log;
}

}  // namespace flitchwise::scan
