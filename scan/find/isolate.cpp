#include "scan/find/isolate.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/find/breaks.hpp"
#include "scan/find/candidates.hpp"
#include "scan/find/ground.hpp"
#include "scan/find/log_ends.hpp"
#include "scan/find/outline.hpp"
#include "scan/model/errors.hpp"
#include "scan/pcl/pcl_adapter.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kSurfaceNormals_m = 0.03;
constexpr double kSurfaceInside = 0.7;  // of the track's radius
constexpr double kSurfaceOutside = 1.35;
constexpr double kStubReach_m = 0.12;    // stubs and lumps stand out as far as this
constexpr double kEndMargin_m = 0.03;    // points of the rim beyond the end's plane
constexpr double kForkReach_m = 0.5;     // a fork this near to the track's end leaves no face there
constexpr double kNear_m = 0.5;          // a point picked in a viewer lies on the log or beside it
constexpr double kLeastArcShare = 0.33;  // mean over the log; the fit judges the arc more exactly

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
    const bool between = ends.first.normal.dot(q - ends.first.point_m) < kEndMargin_m &&
                         ends.last.normal.dot(q - ends.last.point_m) < kEndMargin_m;
    if (between && distance > kSurfaceInside * place.radius_m &&
        distance < kSurfaceOutside * place.radius_m + kStubReach_m) {
      near.push_back(p);
    }
  }
  const Points normals = estimate_normals(near, kSurfaceNormals_m);
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
    const double back_m = length_m(tracks.front()) - kForkReach_m;
    std::erase_if(breaks, [&](const Break& b) {
      return b.flaw == Flaw::fork &&
             ((ends.first.seen && b.begin_m < kForkReach_m) || (ends.last.seen && b.end_m > back_m));
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

LogCloud isolate(const Cloud& in_scan, const std::optional<Ground>& ground, const IsolateOptions& options) {
  require(options.least_diameter_m > 0 && options.most_diameter_m > options.least_diameter_m,
          "the least and the most diameter of a log must be positive and in this order");
  require(options.least_length_m > 0, "the least length of a log must be positive");
  LogCloud log;
  const Scene scene = make_scene(in_scan, ground);
  std::optional<Eigen::Vector3d> near_m;
  if (options.near_m) {
    near_m = *options.near_m - in_scan.origin;
  }
  const Cloud fine = thin(in_scan, kSurfaceGrid_m);
  const Candidates found = find_candidates(scene, fine, in_scan, options, near_m);
  if (found.logs == 0) {
    log.message = near_m ? ScanFact(NoLogNear{kNear_m}) : no_log(options);
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
