#pragma once

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// templates.pdf: both end faces at 1:1 with their marks, tiled over sheets, to pin on the log's ends. Throws
/// BadUse unless the report can be reported.
std::string templates_pdf(const Report& report);

}  // namespace flitchwise::report
