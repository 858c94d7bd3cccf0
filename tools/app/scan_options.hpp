#pragma once
/// The command line's options that speak of the scan; every command that reads one has them.

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "tools/job/model_log.hpp"

namespace flitchwise {

/// The options as the person writes them: millimetres and words.
struct ScanWords {
  std::vector<std::string> scans;
  double bark_mm = 0;
  std::string species;
  double scale_length_mm = 0;
  std::string scale_points;
  std::string unit;
  std::string up;
  bool allow_unseen_ends = false;
  std::string near;
};

/// `words` must outlive the parsing of `command`.
void add_scan_options(CLI::App& command, ScanWords& words);
/// Those of them that can hold for many scans of one kind.
void add_kind_options(CLI::App& command, ScanWords& words);

/// Throws BadUse that names the option, its value and what it may be.
ScanRequest scan_request_of(const ScanWords& words, const CLI::App& command);

}  // namespace flitchwise
