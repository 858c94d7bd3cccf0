#include "scan/find/isolate.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/find/breaks.hpp"
#include "scan/find/end_faces.hpp"
#include "scan/find/ground.hpp"
#include "scan/find/log_ends.hpp"
#include "scan/find/outline.hpp"
#include "scan/find/track.hpp"
#include "scan/model/errors.hpp"
#include "scan/pcl/pcl_adapter.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kSceneGridM = 0.02;      // fine enough for a log 80 mm thick
constexpr double kSceneNormalsM = 0.055;  // neighbourhood that averages scan noise and rough bark
constexpr double kSurfaceGridM = 0.005;   // below the noise of any phone scan
constexpr double kSurfaceNormalsM = 0.03;
constexpr double kSurfaceInside = 0.7;  // of the track's radius
constexpr double kSurfaceOutside = 1.35;
constexpr double kStubReachM = 0.12;  // stubs and lumps stand out as far as this
constexpr double kEndMarginM = 0.03;  // points of the rim beyond the end's plane
constexpr double kRivalShare = 0.7;  // of the likeliest log's figure; a neighbour seen from one side has less
constexpr double kOffMiddleM = 0.8;  // a log this far off the scene's middle is half as likely
constexpr double kOnTrack = 0.12;    // of the radius: points on a track's surface
constexpr std::size_t kSampledPoints = 100000;  // of the scan, to compare how finely logs were seen
constexpr std::size_t kMostTracks = 6;          // seeds on new logs that are walked
constexpr double kSameLog = 1.3;                // of the radius around a track
// Length over largest diameter: a boulder or a ball is round, too, but no longer than it is wide.
constexpr double kLeastSlenderness = 1.2;
constexpr double kForkReachM = 0.5;      // a fork this near to the track's end leaves no face there
constexpr double kNearM = 0.5;           // a point picked in a viewer lies on the log or beside it
constexpr double kNearSeedsM = 1.2;      // seeds this far from it find its log
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
  std::sort(radii.begin(), radii.end());
  const double usual_m = 2 * radii[radii.size() / 2];
  return length_m(track) >= std::max(options.least_length_m, kLeastSlenderness * 2 * radii.back()) &&
         usual_m >= options.least_diameter_m && usual_m <= options.most_diameter_m;
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
      return (seed.centre_m - *near_m).norm() < kNearSeedsM + seed.radius_m;
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

/// Middle of the scene: half of its points lie on either side along each axis.
Eigen::Vector3d middle_of(const Cloud& cloud) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  const std::size_t step = std::max<std::size_t>(1, cloud.size() / kSampledPoints);
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    std::vector<float> values;
    for (std::size_t i = 0; i < cloud.size(); i += step) {
      values.push_back(cloud.points[i][axis]);
    }
    const auto half = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), half, values.end());
    middle[axis] = *half;
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
  const double off = distance_m(track, middle_m) / kOffMiddleM;
  return 1 / (1 + off * off);
}

struct Candidates {
  std::vector<std::vector<TrackPoint>>
      tracks;                            ///< the log that is meant first, then other logs, then the rest
  std::size_t logs = 0;                  ///< tracks that have a log's size and place
  std::optional<Eigen::Vector3d> rival;  ///< middle of another log that was seen as well
};

/// Puts the log that is meant first: the likeliest one that has a log's size, or the one at `near_m`.
Candidates choose(const std::vector<std::vector<TrackPoint>>& tracks, const Cloud& cloud,
                  const IsolateOptions& options, const std::optional<Eigen::Vector3d>& near_m) {
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
    const bool is_log = has_size_of_log(tracks[i], options) && near < kNearM;
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

double mean_arc_share(const std::vector<TrackPoint>& track) {
  double sum = 0;
  for (const TrackPoint& t : track) {
    sum += t.arc_share;
  }
  return sum / static_cast<double>(track.size());
}

NoLog no_log(const IsolateOptions& options) {
  return {options.least_length_m, options.least_diameter_m, options.most_diameter_m};
}

/// Points between the two end planes and near the track, with normals.
void collect_surface(const Cloud& fine, const std::vector<std::size_t>& standing, const TrackFrame& frame,
                     const LogEnds& ends, const Eigen::Vector3d& up, LogCloud& log) {
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
  const Belonging belonging = sort_out(near, normals, frame, up);
  for (std::size_t i = 0; i < near.size(); ++i) {
    const Eigen::Vector3d p = near[i].cast<double>() + fine.origin;
    if (belonging.own[i] == 1) {
      log.surface_m.push_back(p);
      log.surface_normals.push_back(normals[i].cast<double>());
    } else if (belonging.beside[i] == 1) {
      log.beside_m.push_back(p);
    }
  }
}

/// The longest part of the first track without a fork or a break. A fork has no sawn face: what meets a log
/// near to one lies against it.
SoundStretch sound_part(const std::vector<std::vector<TrackPoint>>& tracks, const Scene& scene,
                        const Points& points_m) {
  const SoundStretch whole{tracks.front(), std::nullopt, std::nullopt};
  std::vector<Break> breaks = find_breaks(tracks, scene);
  if (!breaks.empty()) {
    const LogEnds ends = find_ends(points_m, TrackFrame(smoothed(tracks.front())));
    const double back_m = length_m(tracks.front()) - kForkReachM;
    std::erase_if(breaks, [&](const Break& b) {
      return b.flaw == Flaw::fork &&
             ((ends.first.seen && b.begin_m < kForkReachM) || (ends.last.seen && b.end_m > back_m));
    });
  }
  const SoundStretch sound = longest_sound(tracks.front(), breaks);
  return sound.track.size() < 3 ? whole : sound;
}

/// An end at which the log was cut back stands square to it at the track's last point.
void cut_back(const TrackFrame& frame, const SoundStretch& sound, LogEnds& ends) {
  if (sound.front) {
    ends.first = {frame.centre_at(0), -frame.axis(), false};
  }
  if (sound.back) {
    ends.last = {frame.centre_at(frame.chord_m()), frame.axis(), false};
  }
}

/// Tells where the log was cut back and why.
void tell_cut_backs(const TrackFrame& frame, const SoundStretch& sound, LogCloud& log) {
  const double length_m = (log.last_end.point_m - log.first_end.point_m).norm();
  const bool first_is_small = frame.radius_at(0) <= frame.radius_at(frame.chord_m());
  for (const bool at_front : {true, false}) {
    const auto& flaw = at_front ? sound.front : sound.back;
    if (!flaw) {
      continue;
    }
    log.warnings.emplace_back(CutBack{*flaw, length_m, at_front != first_is_small});
  }
}

void judge(const TrackFrame& frame, const LogEnds& ends, const SoundStretch& sound,
           const IsolateOptions& options, LogCloud& log) {
  if ((log.last_end.point_m - log.first_end.point_m).norm() < options.least_length_m) {
    // The track ran on past the log's ends, or too little is left between two breaks.
    if (sound.front || sound.back) {
      log.message = TooLittleSound{sound.front ? *sound.front : *sound.back};
    } else {
      log.message = no_log(options);
    }
    return;
  }
  if (mean_arc_share(log.track) < kLeastArcShare) {
    log.status = LogCloud::Status::one_side_only;
    log.message = OneSideSeen{};
    return;
  }
  const bool first_missing = !ends.first.seen && !sound.front;
  const bool last_missing = !ends.last.seen && !sound.back;
  if (!options.allow_unseen_ends && (first_missing || last_missing)) {
    log.status = LogCloud::Status::end_not_seen;
    const bool first_is_small = frame.radius_at(0) <= frame.radius_at(frame.chord_m());
    log.message = EndNotSeen{first_is_small ? first_missing : last_missing,
                             first_is_small ? last_missing : first_missing};
    return;
  }
  log.status = LogCloud::Status::ok;
}

void to_scan_frame(const Eigen::Vector3d& origin_m, LogCloud& log) {
  for (TrackPoint& t : log.track) {
    t.centre_m += origin_m;
  }
  log.rival_m += origin_m;
  log.first_end.point_m += origin_m;
  log.last_end.point_m += origin_m;
}

}  // namespace

std::vector<TrackPoint> rough_track(const Cloud& in_scan, const std::optional<Ground>& ground,
                                    const IsolateOptions& options) {
  const Scene scene = make_scene(thin(in_scan, kSceneGridM), ground);
  const Cloud fine = thin(in_scan, kSurfaceGridM);
  const Candidates found =
      choose(find_tracks(scene, fine.points, options, std::nullopt), in_scan, options, std::nullopt);
  if (found.logs == 0) {
    return {};
  }
  std::vector<TrackPoint> track = smoothed(found.tracks.front());
  for (TrackPoint& t : track) {
    t.centre_m += in_scan.origin;
  }
  return track;
}

LogCloud isolate(const Cloud& in_scan, const std::optional<Ground>& ground, const IsolateOptions& options) {
  require(options.least_diameter_m > 0 && options.most_diameter_m > options.least_diameter_m,
          "the least and the most diameter of a log must be positive and in this order");
  require(options.least_length_m > 0, "the least length of a log must be positive");
  LogCloud log;
  const Scene scene = make_scene(thin(in_scan, kSceneGridM), ground);
  std::optional<Eigen::Vector3d> near_m;
  if (options.near_m) {
    near_m = *options.near_m - in_scan.origin;
  }
  const Cloud fine = thin(in_scan, kSurfaceGridM);
  const Candidates found = choose(find_tracks(scene, fine.points, options, near_m), in_scan, options, near_m);
  if (found.logs == 0) {
    log.message = near_m ? ScanFact(NoLogNear{kNearM}) : no_log(options);
    return log;
  }
  log.rival_log = found.rival.has_value();
  log.rival_m = found.rival.value_or(log.rival_m);
  SoundStretch sound = sound_part(found.tracks, scene, fine.points);
  log.track = smoothed(sound.track);
  const TrackFrame frame(log.track);
  LogEnds ends = find_ends(fine.points, frame);
  cut_back(frame, sound, ends);
  log.first_end = ends.first;
  log.last_end = ends.last;
  log.on_ground = ground.has_value();
  const Eigen::Vector3d up = ground ? ground->normal : Eigen::Vector3d::UnitZ();
  collect_surface(fine, above_ground(fine.points, fine.origin, ground), frame, ends, up, log);
  judge(frame, ends, sound, options, log);
  tell_cut_backs(frame, sound, log);
  to_scan_frame(in_scan.origin, log);
  log.first_face = end_face(in_scan, log.first_end, log.track.front().radius_m);
  log.last_face = end_face(in_scan, log.last_end, log.track.back().radius_m);
  return log;
}

}  // namespace flitchwise::scan
