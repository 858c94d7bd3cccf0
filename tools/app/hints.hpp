#pragma once
/// Which option gives what a fact asks for.

#include <string>

#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise {

/// "--unit, --scale-length"; empty where no option helps.
std::string options_for(const Fact& fact);

/// Why a scan or its log has no plan, as it is printed: with the files' names and the options that help.
std::string why_not(const Fact& fact, const ScanRequest& request, report::Units units);

}  // namespace flitchwise
