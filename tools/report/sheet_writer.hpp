#pragma once
/// What every step of the sheet is written with.

#include <string>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {

class SheetWriter {
 public:
  SheetWriter(SheetOutput& output, const Report& report)
      : output_(output), report_(report), sheet_(report.sheet), units_(report.units) {}

 protected:
  std::string length(double length_m) const { return length_text(units_, length_m); }
  std::string bare(double length_m) const { return bare_length(units_, length_m); }
  std::string with_unit(const std::string& title) const { return title + ' ' + unit_name(units_); }

  SheetOutput& output_;
  const Report& report_;
  const solver::SetupSheet& sheet_;
  Units units_;
};

}  // namespace flitchwise::report
