#pragma once

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// sheet.pdf: what is taken to the log, one page a group of steps, in black and white. Throws BadUse unless
/// the report can be reported.
std::string sheet_pdf(const Report& report);

}  // namespace flitchwise::report
