#pragma once
/// What a person must know about the scan before trusting the plan.

#include "scan/fit/seams.hpp"
#include "scan/read_scan.hpp"
#include "tools/job/find_log.hpp"

namespace flitchwise {

/// One sentence each, the gravest first: assumed bark, unchecked scale, assumed up, unseen ends, forks and
/// breaks, seams, then those of the fit.
std::vector<std::string> scan_warnings(const ScanRequest& request, const scan::ReadResult& file,
                                       const FoundLog& found, const LogModel& log,
                                       const std::vector<scan::Seam>& seams,
                                       const std::vector<std::string>& of_the_fit);

/// One sentence if the points lie too far off the fitted surface for any plan, or the model breaks one of its
/// invariants; else empty.
std::string why_unusable(const LogModel& log);

/// Why a scan that does not fit onto itself cannot be planned; empty if it can.
std::string why_seams_spoil(const std::vector<scan::Seam>& seams);

}  // namespace flitchwise
