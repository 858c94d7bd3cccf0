#pragma once
/// The scan's points on and near the log, for the page.

#include "scan/model/log_model.hpp"
#include "scan/read/cloud.hpp"
#include "tools/job/scan_info.hpp"

namespace flitchwise {

/// What lies within arm's reach of the log, in the log frame and evenly thinned: a share of the points is
/// kept for the log itself and one for what lies round it. Requires: the cloud is in the scan frame of `log`.
SeenPoints seen_points(const scan::Cloud& in_scan, const LogModel& log);

/// Those of them beside one piece of the log, in the piece's frame. Requires: both have the same scan frame.
SeenPoints points_of_piece(const SeenPoints& of_log, const LogModel& log, const LogModel& piece);

}  // namespace flitchwise
