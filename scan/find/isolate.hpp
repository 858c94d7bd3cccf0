#pragma once
/// Finds the log in the scene: away from ground, bearers, grass and neighbours.

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "scan/find/orient.hpp"
#include "scan/model/log_model.hpp"
#include "scan/model/scan_facts.hpp"

namespace flitchwise::scan {

struct IsolateOptions {
  double least_diameter_m = 0.08;  ///< thinner round things are branches or grass; > 0
  double most_diameter_m = 1.6;    ///< thicker than any log that a chainsaw mill takes
  double least_length_m = 0.8;     ///< shorter round things are bearers, blocks or legs
  /// Only the end planes that were seen bound the log; with true, a log that runs out of the scan is planned
  /// up to where it was seen.
  bool allow_unseen_ends = false;
  /// A point on the log that is meant, or within half a metre of it (scan frame); empty: the best seen log.
  std::optional<Eigen::Vector3d> near_m;
};

/// One circle of the rough track along a log, square to it.
struct TrackPoint {
  Eigen::Vector3d centre_m = Eigen::Vector3d::Zero();  ///< scan frame
  double radius_m = 0;
  double arc_share = 0;  ///< share of the circle's 10 degree bins that hold points
};

/// A point of a sawn face.
struct EndFacePoint {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();  ///< scan frame
  std::optional<Colour> colour = {};                  ///< if the scan has colours
};

/// The points that belong to one log, with the rough shape that found them.
struct LogCloud {
  enum class Status { ok, no_log, one_side_only, end_not_seen };
  Status status = Status::no_log;
  std::optional<ScanFact> message;               ///< unless ok: what is missing
  std::vector<Eigen::Vector3d> surface_m;        ///< scan frame: points near the bark
  std::vector<Eigen::Vector3d> surface_normals;  ///< unit, sign arbitrary, zero where unknown
  /// Scan frame: points near the log that are not its own bark but face as it does; a second copy of the
  /// surface is among them.
  std::vector<Eigen::Vector3d> beside_m;
  bool on_ground = false;         ///< there is ground below it, which was taken away
  std::vector<TrackPoint> track;  ///< from one end to the other, about every 100 mm
  /// Another log was seen nearly as well: the person should check which one was taken.
  bool rival_log = false;
  Eigen::Vector3d rival_m = Eigen::Vector3d::Zero();  ///< scan frame: in the middle of that log; if rival_log
  /// Where a fork or a break ends the part that is planned; that end counts as not seen.
  std::vector<ScanFact> warnings;
  EndPlane first_end;  ///< scan frame; the end beside track.front(); normal out of the log
  EndPlane last_end;   ///< scan frame; the end beside track.back()
  /// The faces' points with their rims, where the ends were seen; else empty.
  std::vector<EndFacePoint> first_face;
  std::vector<EndFacePoint> last_face;
};

/// Isolates the largest well-seen log, or the one at `near_m`, cut back where it forks or is broken. Throws
/// BadUse if an option is out of range.
LogCloud isolate(const Cloud& in_scan, const std::optional<Ground>& ground,
                 const IsolateOptions& options = {});

}  // namespace flitchwise::scan
