#include "tools/job/find_log.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

namespace flitchwise {
namespace {

constexpr int kScaleRounds = 4;
constexpr double kScaleSettled = 1e-3;  // of the scale: 4 mm in 4 m; the last correction goes in all the same
constexpr double kWidestScene_m = 40;   // a scan of a log that is wider has another unit
constexpr double kNarrowestScene_m = 0.8;
// Beyond these no search is worth its time and memory: its grids have cells of fixed size.
constexpr double kMostSearched_m = 200;
constexpr double kLeastSearched_m = 0.2;
// Single points far off, as broken files and sky behind a log have them: further from the middle than this
// many times the width of the middle half of the points. A scene itself reaches out one to three such widths.
constexpr float kStrayReach = 20;
constexpr std::size_t kSampledPoints = 20000;  // tell the middle half to a hundredth
constexpr double kLeastExtent = 1e-6;          // in file units: all points in one place have no scale
// A scene is wider than its log by the ground round it: first guesses of their ratio.
constexpr double kSceneOverLog[] = {1.4, 1.1, 2.0, 3.0};

FoundLog find_at(const scan::Cloud& in_file, const ScanRequest& request, double metres_per_unit) {
  FoundLog found;
  found.oriented = scan::orient(in_file, {metres_per_unit, request.up});
  scan::IsolateOptions options;
  options.allow_unseen_ends = request.allow_unseen_ends;
  if (request.near_in_file) {
    options.near_m = found.oriented.scan_from_file * *request.near_in_file * metres_per_unit;
  }
  found.log_cloud = scan::isolate(found.oriented.cloud, found.oriented.ground, options);
  return found;
}

bool worth_a_search(double extent_m) {
  return extent_m > kLeastSearched_m && extent_m < kMostSearched_m;
}

/// Metres a file unit, where no tape along the log says better.
double stated_scale(const ScanRequest& request) {
  return request.scale_points ? request.scale_points->metres_per_unit() : request.metres_per_unit.value_or(1);
}

double length_m(const scan::LogCloud& log) {
  return (log.last_end.point_m - log.first_end.point_m).norm();
}

/// Box around a cloud, in file units.
struct Box {
  Eigen::Array3f least = Eigen::Array3f::Constant(std::numeric_limits<float>::max());
  Eigen::Array3f most = -least;
  bool holds(const Eigen::Vector3f& p) const {
    return (p.array() >= least).all() && (p.array() <= most).all();
  }
};

Box box_of(const scan::Cloud& cloud) {
  Box box;
  for (const auto& p : cloud.points) {
    box.least = box.least.min(p.array());
    box.most = box.most.max(p.array());
  }
  return box;
}

/// Longest side of the box around the cloud, in file units.
double extent(const scan::Cloud& cloud) {
  const Box box = box_of(cloud);
  return cloud.empty() ? 0 : (box.most.cast<double>() - box.least.cast<double>()).maxCoeff();
}

/// The box outside which a point is a stray. Requires: the cloud is not empty.
Box box_of_scene(const scan::Cloud& cloud) {
  const std::size_t step = std::max<std::size_t>(1, cloud.size() / kSampledPoints);
  Eigen::Array3f middle;
  float width = 0;
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    std::vector<float> values;
    for (std::size_t i = 0; i < cloud.size(); i += step) {
      values.push_back(cloud.points[i][axis]);
    }
    std::sort(values.begin(), values.end());
    middle[axis] = values[values.size() / 2];
    width = std::max(width, values[values.size() * 3 / 4] - values[values.size() / 4]);
  }
  Box box;
  box.least = middle - kStrayReach * width;
  box.most = middle + kStrayReach * width;
  return box;
}

/// The cloud without its strays; empty if it has none, which spares the copy.
std::optional<scan::Cloud> without_strays(const scan::Cloud& cloud) {
  if (cloud.empty()) {
    return std::nullopt;
  }
  const Box scene = box_of_scene(cloud);
  const Box all = box_of(cloud);
  if (scene.holds(all.least.matrix()) && scene.holds(all.most.matrix())) {
    return std::nullopt;
  }
  scan::Cloud kept;
  kept.origin = cloud.origin;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    if (scene.holds(cloud.points[i])) {
      kept.points.push_back(cloud.points[i]);
      if (!cloud.colours.empty()) {
        kept.colours.push_back(cloud.colours[i]);
      }
    }
  }
  return kept;
}

/// From a first scale to the one at which the log has its length by tape; a log that was found without that
/// is none. Empty if no search was worth it.
std::optional<FoundLog> settle_scale(const scan::Cloud& in_file, const ScanRequest& request, double scale) {
  const double extent_units = extent(in_file);
  std::optional<FoundLog> found;
  for (int round = 0; round < kScaleRounds && worth_a_search(extent_units * scale); ++round) {
    found = find_at(in_file, request, scale);
    if (found->log_cloud.status != scan::LogCloud::Status::ok) {
      return found;
    }
    const double correction = *request.scale_length_m / length_m(found->log_cloud);
    if (std::abs(correction - 1) < kScaleSettled) {
      return find_at(in_file, request, scale * correction);
    }
    scale *= correction;
  }
  if (found) {
    found->log_cloud.status = scan::LogCloud::Status::no_log;
    found->log_cloud.message = scan::NoLogOfTapeLength{};
  }
  return found;
}

FoundLog find_by_tape(const scan::Cloud& in_file, const ScanRequest& request) {
  std::vector<double> scales{stated_scale(request)};
  for (const double ratio : kSceneOverLog) {
    scales.push_back(*request.scale_length_m * ratio / std::max(extent(in_file), kLeastExtent));
  }
  FoundLog failure;
  failure.log_cloud.message = scan::NoExtent{};
  bool saw_a_log = false;
  bool searched = false;
  for (const double scale : scales) {
    std::optional<FoundLog> found = settle_scale(in_file, request, scale);
    if (!found) {
      continue;
    }
    if (found->log_cloud.status == scan::LogCloud::Status::ok) {
      return *std::move(found);
    }
    // What is wrong with a log says more than that none was found at another scale.
    const bool sees_a_log = found->log_cloud.status != scan::LogCloud::Status::no_log;
    if (!searched || (sees_a_log && !saw_a_log)) {
      failure = *std::move(found);
      saw_a_log = sees_a_log;
    }
    searched = true;
  }
  return failure;
}

/// Asks about the unit when the whole scene has a size that no scan of a log has.
void ask_about_unit(const scan::Cloud& in_file, const ScanRequest& request, FoundLog& found) {
  const double size_m = extent(in_file) * stated_scale(request);
  if (found.log_cloud.status != scan::LogCloud::Status::no_log ||
      (size_m < kWidestScene_m && size_m > kNarrowestScene_m)) {
    return;
  }
  found.log_cloud.message = scan::SceneOfOtherSize{size_m};
}

/// Asks about the unit when the log itself has a length that none has which a person mills.
void ask_about_size(FoundLog& found) {
  constexpr double kLongestLog_m = 25;  // longer ones are not moved in one piece: common practice, no source
  if (found.log_cloud.status != scan::LogCloud::Status::ok || length_m(found.log_cloud) < kLongestLog_m) {
    return;
  }
  found.log_cloud.status = scan::LogCloud::Status::no_log;
  found.log_cloud.message = scan::LogTooLong{length_m(found.log_cloud)};
}

struct OtherUnit {
  double metres;
  bool known;  ///< files have it
};

/// Other scales at which the file might hold a log: the units that files have, and ten times the stated one,
/// as programs that know no scale may have it.
std::vector<OtherUnit> other_units(double stated) {
  constexpr double kFoot = 0.3048;
  constexpr double kInch = 0.0254;
  std::vector<OtherUnit> units;
  for (const double metres : {1.0, 0.01, 0.001, kFoot, kInch}) {
    if (std::abs(metres / stated - 1) >= kScaleSettled) {
      units.push_back({metres, true});
    }
  }
  units.push_back({10 * stated, false});
  return units;
}

/// Of the middle of the track.
double thickness_m(const scan::LogCloud& log) {
  std::vector<double> radii;
  for (const scan::TrackPoint& t : log.track) {
    radii.push_back(t.radius_m);
  }
  std::sort(radii.begin(), radii.end());
  return radii.empty() ? 0 : 2 * radii[radii.size() / 2];
}

bool has_size_of_a_log(double thickness_m, double length_m) {
  const scan::IsolateOptions sought;
  return thickness_m > sought.least_diameter_m && thickness_m < sought.most_diameter_m &&
         length_m > sought.least_length_m;
}

/// Asks about the unit when a scene of plausible size holds a log only if its unit is another one.
void ask_about_log(const scan::Cloud& in_file, const ScanRequest& request, FoundLog& found) {
  constexpr double kUsualLog_m =
      0.35;  // thick; of several units that would do, the one nearest to it is named
  const double stated = stated_scale(request);
  double least_odd = std::numeric_limits<double>::max();
  for (const OtherUnit& unit : other_units(stated)) {
    const double size_m = extent(in_file) * unit.metres;
    if (size_m > kWidestScene_m || size_m < kNarrowestScene_m) {
      continue;
    }
    const FoundLog other = find_at(in_file, request, unit.metres);
    const double odd = std::abs(std::log(thickness_m(other.log_cloud) / kUsualLog_m));
    if (other.log_cloud.status == scan::LogCloud::Status::no_log || odd >= least_odd) {
      continue;
    }
    const double ratio = stated / unit.metres;
    if (has_size_of_a_log(thickness_m(other.log_cloud) * ratio, length_m(other.log_cloud) * ratio)) {
      continue;  // its size is no reason why it was not found with the stated unit
    }
    least_odd = odd;
    found.log_cloud.message =
        scan::LogOfOtherUnit{thickness_m(other.log_cloud) * ratio, length_m(other.log_cloud) * ratio,
                             unit.known ? unit.metres : 0};
  }
}

/// Whether both points lie in the box round the scan, give or take what a person misses by when picking.
bool holds_both(const scan::Cloud& in_file, const ScalePoints& points) {
  constexpr float kMiss = 0.05F;  // of the longest side
  Box box = box_of(in_file);
  const float miss = kMiss * (box.most - box.least).maxCoeff();
  box.least -= miss;
  box.most += miss;
  const auto holds = [&](const Eigen::Vector3d& p) { return box.holds((p - in_file.origin).cast<float>()); };
  return holds(points.first) && holds(points.second);
}

/// The request, completed by what the file states where the person said nothing.
ScanRequest completed(ScanRequest request, const scan::FileFrame& stated) {
  request.metres_per_unit = request.metres_per_unit.value_or(stated.metres_per_unit.value_or(1));
  request.up = request.up ? request.up : stated.up;
  return request;
}

scan::ScaleSource scale_source_of(const ScanRequest& as_asked, const scan::FileFrame& stated) {
  using Kind = scan::ScaleSource::Kind;
  scan::ScaleSource source;
  source.kind = as_asked.scale_length_m    ? Kind::tape
                : as_asked.scale_points    ? Kind::points
                : as_asked.metres_per_unit ? Kind::given_unit
                : stated.metres_per_unit   ? Kind::file_format
                                           : Kind::taken_as_metres;
  source.length_m = as_asked.scale_length_m ? *as_asked.scale_length_m
                    : as_asked.scale_points ? as_asked.scale_points->distance_m
                                            : 0;
  source.format = stated.format;
  return source;
}

FoundLog find(const scan::Cloud& in_file, const ScanRequest& request) {
  const std::optional<scan::Cloud> cleaned = without_strays(in_file);
  const scan::Cloud& cloud = cleaned ? *cleaned : in_file;
  FoundLog found;
  if (request.scale_length_m) {
    return find_by_tape(cloud, request);
  }
  if (request.scale_points && !holds_both(cloud, *request.scale_points)) {
    found.log_cloud.message = scan::ScalePointsOutside{};
    return found;
  }
  const bool searched = worth_a_search(extent(cloud) * stated_scale(request));
  if (searched) {
    found = find_at(cloud, request, stated_scale(request));
  }
  ask_about_unit(cloud, request, found);
  ask_about_size(found);
  if (searched && !request.near_in_file && found.log_cloud.status == scan::LogCloud::Status::no_log &&
      found.log_cloud.track.empty()) {
    ask_about_log(cloud, request, found);
  }
  return found;
}

}  // namespace

FoundLog find_log(const scan::Cloud& in_file, const ScanRequest& as_asked, const scan::FileFrame& stated) {
  FoundLog found = find(in_file, completed(as_asked, stated));
  found.scale_source = scale_source_of(as_asked, stated);
  scan::UpSource& up = found.oriented.up_source;
  if (up.kind == scan::UpSource::Kind::given && !as_asked.up) {
    up.kind = scan::UpSource::Kind::file_format;
    up.format = stated.format;
  }
  return found;
}

double rough_scale(const scan::Cloud& in_file, const ScanRequest& request, const scan::FileFrame& stated) {
  const double as_stated = stated_scale(completed(request, stated));
  if (!request.scale_length_m) {
    return as_stated;
  }
  const FoundLog found = find_log(in_file, request, stated);
  return found.log_cloud.track.empty() ? as_stated : found.oriented.scale;
}

}  // namespace flitchwise
