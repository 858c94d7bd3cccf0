#pragma once
/// Scale, up and the log itself, which depend on each other when the scale comes from a tape measure.

#include "scan/find/isolate.hpp"
#include "scan/find/orient.hpp"
#include "scan/read_scan.hpp"
#include "tools/job/model_log.hpp"

namespace flitchwise {

struct FoundLog {
  scan::OrientResult oriented;
  scan::LogCloud log_cloud;
  scan::ScaleSource scale_source;
};

/// With a tape measure of the log's length the scale is the one at which the isolated log has that length;
/// else two points a known distance apart settle it; else the file's unit is taken as asked, as stated by the
/// file or as metres, in this order; and so is up, which comes from the ground where nobody states it. A log
/// of implausible size is not found; the message is then one that asks about the unit.
FoundLog find_log(const scan::Cloud& in_file, const ScanRequest& as_asked,
                  const scan::FileFrame& stated = {});

/// Metres a file unit, as far as it can be told from one scan that may show but a part of the log.
double rough_scale(const scan::Cloud& in_file, const ScanRequest& request, const scan::FileFrame& stated);

}  // namespace flitchwise
