#pragma once
/// What a scan shows and whether it will do, in about ten lines.

#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

/// What a scan showed, for a person at the log. Sides and directions are those of the log as scanned, seen
/// from the small end. Ends with a line end. Requires: log.find_error() is empty.
std::string look_text(const ScanInfo& scan, const LogModel& log, const std::vector<Fact>& warnings,
                      const Hint& hint = {});

/// The same for a scan that cannot support a plan: what the file holds, and why it will not do.
std::string look_text(const ScanInfo& scan, const std::string& why_not);

}  // namespace flitchwise::report
