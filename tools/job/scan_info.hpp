#pragma once
/// What is kept of a scan beside the log's model.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/sources.hpp"

namespace flitchwise {

/// Where the points came from.
struct ScanInfo {
  std::string file;  ///< as the user named it; several with commas between
  scan::FileFormat format;
  std::uint64_t points_read = 0;
  double scale = 1;  ///< metres for one unit of the file
  scan::ScaleSource scale_source;
  scan::UpSource up_source;
  Eigen::Matrix3d scan_from_file = Eigen::Matrix3d::Identity();  ///< rotation alone; of the first file

  /// From metres, z up, back to the file's own coordinates and unit.
  Eigen::Vector3d to_file(const Eigen::Vector3d& in_scan_m) const;
};
FLITCHWISE_FIELDS(ScanInfo, file, format, points_read, scale, scale_source, up_source, scan_from_file)

/// The scan's points on and near the log, thinned for a picture.
struct SeenPoints {
  std::vector<Eigen::Vector3f> in_log_m;             ///< log frame
  std::vector<std::array<std::uint8_t, 3>> colours;  ///< red, green, blue: empty, or one a point
};
FLITCHWISE_FIELDS(SeenPoints, in_log_m, colours)

}  // namespace flitchwise
