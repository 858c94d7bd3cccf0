#pragma once

#include <filesystem>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Writes plan.json, supports.csv, cuts.csv, sheet.pdf, plan.svg and plan.png, plan.html if this build has
/// the page, and templates.pdf if asked for, into `directory`, which is made if it is missing: all of them or
/// none. Returns their paths. Throws InputError.
std::vector<std::filesystem::path> write_report(const Report& report, const std::filesystem::path& directory);

}  // namespace flitchwise::report
