#include "tools/report/sheet.hpp"

#include "tools/report/sheet_writer.hpp"

namespace flitchwise::report {

void write_steps(SheetOutput& output, const Report& report) {
  SheetWriter(output, report).write();
}

}  // namespace flitchwise::report
