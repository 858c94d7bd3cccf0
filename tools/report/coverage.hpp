#pragma once
/// Where a scan saw nothing, in words that a person can walk to.

#include <string>
#include <vector>

#include "scan/model/log_model.hpp"

namespace flitchwise::report {

/// Quarter of the way round a log, as seen from the small end looking along it, log as scanned.
enum class Side { left, top, right, underside };

/// A stretch of one side of which the scan saw next to nothing. x is measured along the log from the small
/// end's innermost full section.
struct UnseenStretch {
  Side side = Side::underside;
  double from_m = 0;
  double to_m = 0;
};

/// Stretches of at least 0.2 m in which less than a third of a side was seen, by side, then along the log;
/// those within 0.25 m of each other are one. Requires: log.find_error() is empty.
std::vector<UnseenStretch> unseen_stretches(const LogModel& log);

/// "between 2.1 and 2.6 m on the left side", "along the whole underside".
std::string in_words(const UnseenStretch& stretch, double log_length_m);

}  // namespace flitchwise::report
