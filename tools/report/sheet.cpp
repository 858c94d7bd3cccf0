#include "tools/report/sheet.hpp"

#include "tools/report/sheet_cuts.hpp"
#include "tools/report/sheet_setup.hpp"

namespace flitchwise::report {

void write_steps(SheetOutput& output, const Report& report) {
  write_setup_steps(output, report);
  write_cut_steps(output, report);
}

}  // namespace flitchwise::report
