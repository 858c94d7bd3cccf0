#pragma once
/// The sheet's steps from the planes to the boards.

#include "tools/report/sheet.hpp"

namespace flitchwise::report {

void write_cut_steps(SheetOutput& output, const Report& report);

}  // namespace flitchwise::report
