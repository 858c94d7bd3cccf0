#pragma once
/// What `flitchwise plan` prints.

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// What a person wants first, in plain words; ends with a line end.
std::string short_answer(const Report& report, const Hint& hint = {});

}  // namespace flitchwise::report
