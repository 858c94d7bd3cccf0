#pragma once
/// What a result has to tell, in words.

#include <string>
#include <vector>

#include "tools/job/facts.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

/// As words(scan::ScanFact).
std::string words(const Fact& fact, Units units, const std::vector<std::string>& scan_names = {});

/// "finding the log", "reading scan 2, 45 %": what is under way, and after a comma how far it is.
std::string words(const StageReport& stage);

}  // namespace flitchwise::report
