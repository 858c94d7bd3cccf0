#pragma once
/// All that a person must know before trusting a plan.

#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Of the scan, the fit and the search, then of the setup, each once.
std::vector<std::string> all_warnings(const Report& report, Units units, const Hint& hint = {});

/// `words` of a fact with its hint before the full stop: "... by tape (--scale-length)."
std::string with_hint(const std::string& words, const Fact& fact, const Hint& hint);

}  // namespace flitchwise::report
