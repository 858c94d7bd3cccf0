#pragma once
/// The first half of the main job: scan file in, log model out.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/limits.hpp"
#include "scan/model/log_model.hpp"
#include "scan/read/scan_file.hpp"
#include "tools/job/facts.hpp"
#include "tools/job/scan_info.hpp"

namespace flitchwise {

/// Two points of the scan and their true distance: settles the scale where there is no tape along the log.
struct ScalePoints {
  Eigen::Vector3d first = Eigen::Vector3d::Zero();  ///< in the file's own coordinates
  Eigen::Vector3d second = Eigen::Vector3d::Zero();
  double distance_m = 0;  ///< > 0

  /// Requires: the points differ.
  double metres_per_unit() const { return distance_m / (second - first).norm(); }
};
FLITCHWISE_FIELDS(ScalePoints, first, second, distance_m)
constexpr auto limits_of(const ScalePoints*) {
  return std::tuple{Limit{&ScalePoints::distance_m, {0.05, 30}}};
}

/// What the person says of the scan. Lengths in metres.
struct ScanRequest {
  std::vector<scan::ScanFile> files;  ///< one or more of one log, which are merged
  std::optional<double> bark_m;
  std::string species;                      ///< empty: unknown
  std::optional<double> scale_length_m;     ///< tape measure of the log's length, which settles the scale
  std::optional<ScalePoints> scale_points;  ///< count where there is no `scale_length_m`
  /// Where nothing else settles the scale; empty: as the file states, else 1.
  std::optional<double> metres_per_unit;
  std::optional<Eigen::Vector3d> up;  ///< axis of the file that points up; empty: what it states, else found
  bool allow_unseen_ends = false;
  /// A point on the log that is meant, in the file's own coordinates; empty: the log that was seen best.
  std::optional<Eigen::Vector3d> near_in_file;
};
FLITCHWISE_FIELDS(ScanRequest, files, bark_m, species, scale_length_m, scale_points, metres_per_unit, up,
                  allow_unseen_ends, near_in_file)
constexpr auto limits_of(const ScanRequest*) {
  return std::tuple{Limit{&ScanRequest::bark_m, {0, 0.15}}, Limit{&ScanRequest::scale_length_m, {0.3, 30}}};
}

struct ModelledLog {
  enum class Outcome { done, scan_will_not_do };
  Outcome outcome = Outcome::scan_will_not_do;
  std::optional<Fact> message;  ///< unless done
  ScanInfo scan;
  LogModel log;                ///< valid if done
  SeenPoints points;           ///< of the scan, if done
  std::vector<Fact> warnings;  ///< of the scan and the fit, the gravest first
};

/// What a job is at.
enum class Stage {
  reading,
  merging,
  finding,
  fitting,
  searching,
  setting_up,
  advising,
  cutting_in_two,
  setting_up_pieces
};

struct StageReport {
  Stage stage = Stage::reading;
  double share = 0;       ///< that is done of it, 0 to 1; only reading tells more than its beginning
  std::size_t scan = 0;   ///< which one is read, from 0
  std::size_t scans = 1;  ///< of how many
};

/// Is told each stage as it begins, and a long one again.
using OnStage = std::function<void(const StageReport&)>;

/// Reads, isolates and fits. Throws InputError for a file that cannot be read and BadUse for a request that
/// is out of range; anything that the scan cannot support is an outcome with a message.
ModelledLog model_log(const ScanRequest& request, const OnStage& on_stage = {});

}  // namespace flitchwise
