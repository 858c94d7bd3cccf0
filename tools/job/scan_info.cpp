#include "tools/job/scan_info.hpp"

namespace flitchwise {

Eigen::Vector3d ScanInfo::to_file(const Eigen::Vector3d& in_scan_m) const {
  return scan_from_file.transpose() * in_scan_m / scale;
}

}  // namespace flitchwise
