#pragma once
/// All that a person must know before trusting a plan.

#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Of the scan, the fit and the search, then of the setup, each once.
std::vector<std::string> all_warnings(const Report& report, Units units);

}  // namespace flitchwise::report
