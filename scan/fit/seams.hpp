#pragma once
/// Errors of the scan that no smooth log shows: a surface that appears twice, and a step where the walk round
/// the log did not close.

#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/model/log_model.hpp"
#include "scan/model/scan_facts.hpp"

namespace flitchwise::scan {

/// Every seam, the gravest (longest times widest apart) first.
std::vector<Seam> find_seams(const LogCloud& log_cloud, const LogModel& log);

/// Too large or too long to plan around: the plan would rest on a guess which of the two is the log.
bool spoils_the_scan(const Seam& seam);

}  // namespace flitchwise::scan
