#pragma once
/// What a person must know about the scan before trusting the plan.

#include "scan/fit/seams.hpp"
#include "scan/read_scan.hpp"
#include "tools/job/find_log.hpp"

namespace flitchwise {

/// The gravest first: assumed bark, unchecked scale, assumed up, unseen ends, forks and breaks, seams, then
/// those of the fit.
std::vector<Fact> scan_warnings(const ScanRequest& request, const scan::ReadResult& file,
                                const FoundLog& found, const LogModel& log,
                                const std::vector<scan::Seam>& seams,
                                const std::vector<scan::ScanFact>& of_the_fit);

/// If the points lie too far off the fitted surface for any plan, or the model breaks one of its invariants.
std::optional<scan::ScanFact> why_unusable(const LogModel& log);

}  // namespace flitchwise
