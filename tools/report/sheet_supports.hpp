#pragma once
/// The sheet's table of a rail's supports.

#include <vector>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {

/// `string`: with what the gauge feels like under the string.
void write_supports(SheetOutput& output, const Report& report, const std::vector<solver::Support>& supports,
                    bool string);

}  // namespace flitchwise::report
