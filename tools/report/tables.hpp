#pragma once
/// The tables beside plan.json, as CSV with a line of column names.

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// supports.csv: one line a support, bench frame. A gap that does not exist is empty.
std::string supports_csv(const Report& report);
/// cuts.csv: one line a cut, in order. A saw depth that is not set (chalk line) is empty.
std::string cuts_csv(const Report& report);

}  // namespace flitchwise::report
