#pragma once
/// The sheet's steps from the answer to the rail.

#include "tools/report/sheet.hpp"

namespace flitchwise::report {

void write_setup_steps(SheetOutput& output, const Report& report);

}  // namespace flitchwise::report
