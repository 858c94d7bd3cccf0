#include "plan/find_log.hpp"

#include <algorithm>
#include <cmath>
#include <iomanip>
#include <sstream>

namespace flitchwise {
namespace {

constexpr int kScaleRounds = 4;
constexpr double kScaleSettled = 1e-3;  // of the scale: 4 mm in 4 m; the last correction goes in all the same
constexpr double kWidestSceneM = 40;    // a scan of a log that is wider has another unit
constexpr double kNarrowestSceneM = 0.8;
constexpr double kLeastExtent = 1e-6;  // in file units: all points in one place have no scale
// A scene is wider than its log by the ground round it: first guesses of their ratio.
constexpr double kSceneOverLog[] = {1.4, 1.1, 2.0, 3.0};

scan::OrientOptions orient_options(const PlanRequest& request, double metres_per_unit) {
  scan::OrientOptions options;
  options.metres_per_unit = metres_per_unit;
  options.up = request.up;
  if (request.scale_length_m) {
    std::ostringstream text;
    text << "the log's length by tape, " << std::lround(*request.scale_length_m * 1000) << " mm";
    options.scale_source = text.str();
  } else if (metres_per_unit == 1) {
    options.scale_source = "the file's unit taken as metres";
  } else {
    options.scale_source = "the file's unit as given";
  }
  return options;
}

FoundLog find_at(const scan::Cloud& in_file, const PlanRequest& request, double metres_per_unit) {
  FoundLog found;
  found.oriented = scan::orient(in_file, orient_options(request, metres_per_unit));
  scan::IsolateOptions options;
  options.allow_unseen_ends = request.allow_unseen_ends;
  found.log_cloud = scan::isolate(found.oriented.cloud, found.oriented.ground, options);
  return found;
}

double length_m(const scan::LogCloud& log) {
  return (log.last_end.point_m - log.first_end.point_m).norm();
}

/// Longest side of the box around the cloud, in file units.
double extent(const scan::Cloud& cloud) {
  Eigen::Array3f least = Eigen::Array3f::Constant(std::numeric_limits<float>::max());
  Eigen::Array3f most = -least;
  for (const auto& p : cloud.points) {
    least = least.min(p.array());
    most = most.max(p.array());
  }
  return cloud.empty() ? 0 : static_cast<double>((most - least).maxCoeff());
}

FoundLog find_by_tape(const scan::Cloud& in_file, const PlanRequest& request) {
  std::vector<double> guesses{request.metres_per_unit};
  const double extent_units = extent(in_file);
  for (const double ratio : kSceneOverLog) {
    if (extent_units > kLeastExtent) {
      guesses.push_back(*request.scale_length_m * ratio / extent_units);
    }
  }
  FoundLog found;
  for (double scale : guesses) {
    for (int round = 0; round < kScaleRounds; ++round) {
      found = find_at(in_file, request, scale);
      if (found.log_cloud.status != scan::LogCloud::Status::ok) {
        break;
      }
      const double correction = *request.scale_length_m / length_m(found.log_cloud);
      if (std::abs(correction - 1) < kScaleSettled) {
        return find_at(in_file, request, scale * correction);
      }
      scale *= correction;
    }
  }
  return found;
}

/// A length that may be off by powers of ten, in words.
std::string rough_size(double size_m) {
  constexpr double kMostM = 1e5;
  std::ostringstream text;
  text << std::fixed << std::setprecision(0);
  if (size_m > kMostM) {
    text << "over " << kMostM / 1000 << " km";
  } else if (size_m >= 1) {
    text << size_m << " m";
  } else if (size_m >= 0.001) {
    text << size_m * 1000 << " mm";
  } else {
    text << "less than 1 mm";
  }
  return text.str();
}

/// Asks about the unit when the whole scene has a size that no scan of a log has.
void ask_about_unit(const scan::Cloud& in_file, const PlanRequest& request, FoundLog& found) {
  const double size_m = extent(in_file) * request.metres_per_unit;
  if (found.log_cloud.status != scan::LogCloud::Status::no_log ||
      (size_m < kWidestSceneM && size_m > kNarrowestSceneM)) {
    return;
  }
  found.log_cloud.message = "With this unit the scan would be " + rough_size(size_m) +
                            " wide, which is no scan of a log. Is the file in another unit? Name it, for "
                            "example --unit mm, or give "
                            "the log's length by tape with --scale-length.";
}

}  // namespace

FoundLog find_log(const scan::Cloud& in_file, const PlanRequest& request) {
  FoundLog found = request.scale_length_m ? find_by_tape(in_file, request)
                                          : find_at(in_file, request, request.metres_per_unit);
  ask_about_unit(in_file, request, found);
  return found;
}

}  // namespace flitchwise
