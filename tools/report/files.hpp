#pragma once
/// Files that appear complete or not at all.

#include <filesystem>
#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

struct NamedBytes {
  std::string name;  ///< of the file in its directory
  std::string bytes;
};

/// Writes every file under a temporary name beside its own, and renames them when all are complete. Makes the
/// directory if it is missing. On failure nothing new is left and InputError is thrown. Returns the paths.
std::vector<std::filesystem::path> write_together(const std::filesystem::path& directory,
                                                  const std::vector<NamedBytes>& files);

/// Writes plan.json, supports.csv, cuts.csv, sheet.pdf, plan.svg and plan.png, plan.html if this build has
/// the page, and templates.pdf if asked for, in the same way. Throws InputError.
std::vector<std::filesystem::path> write_report(const Report& report, const std::filesystem::path& directory);

}  // namespace flitchwise::report
