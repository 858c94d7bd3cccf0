#include "scan/merge/align_view.hpp"

#include <algorithm>
#include <cmath>

#include "scan/find/candidates.hpp"
#include "scan/find/ground.hpp"
#include "scan/find/orient.hpp"
#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kAroundLog_m = 0.8;  // ground and bearers beside the log hold it along its length
constexpr double kCoarseNormals_m = 0.12;
constexpr double kFineNormals_m = 0.05;  // some twenty points, so that noise hardly tilts a normal
constexpr double kSmoothOver_m = 0.1;
constexpr float kSmoothCosine = 0.94F;  // 20 degrees

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
    if ((d - along_m * frame.axis()).norm() < frame.radius_at(along_m) + kAroundLog_m) {
      near.points.push_back(p);
    }
  }
  return near;
}

/// Bark, stubs and end faces; where no log was found, whatever stands.
bool belongs_to(const std::vector<TrackPoint>& track, const Eigen::Vector3f& point_m) {
  constexpr double kOutside = 1.2;    // of the track's radius
  constexpr double kBeyond_m = 0.15;  // a track ends up to a step and a half before the log does
  if (track.size() < 2) {
    return true;
  }
  const Eigen::Vector3d p = point_m.cast<double>();
  for (std::size_t i = 1; i < track.size(); ++i) {
    const Eigen::Vector3d step = track[i].centre_m - track[i - 1].centre_m;
    const double along_m = step.normalized().dot(p - track[i - 1].centre_m);
    const double least_m = i == 1 ? -kBeyond_m : 0;
    const double most_m = step.norm() + (i + 1 == track.size() ? kBeyond_m : 0);
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
  const Points wider = estimate_normals(points, kSmoothOver_m);
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

}  // namespace

Eigen::Vector3d axis_of(const std::vector<TrackPoint>& track) {
  return track.size() < 2 ? Eigen::Vector3d(Eigen::Vector3d::Zero())
                          : (track.back().centre_m - track.front().centre_m).normalized();
}

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
  view.coarse = surface_of(thin(near, kCoarseGrid_m), middle_m, kCoarseNormals_m);
  view.fine = surface_of(thin(near, kFineGrid_m), middle_m, kFineNormals_m);
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

}  // namespace flitchwise::scan
