#pragma once
/// Both end faces and the log from its side for every position of the rail, on one picture.

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// plan.svg. Throws BadUse unless the report can be reported.
std::string picture_svg(const Report& report);
/// plan.png: the same picture.
std::string picture_png(const Report& report);

}  // namespace flitchwise::report
