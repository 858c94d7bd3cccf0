#pragma once
/// The options of `plan` that say how the setup is measured and written down.

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "tools/job/pith.hpp"
#include "tools/report/report.hpp"

namespace flitchwise {

/// The same as written on the command line.
struct SetupWords {
  std::vector<std::string> pith;
  std::string units = "mm";
  std::string paper = "a4";
  bool templates = false;
};

void add_setup_options(CLI::App& command, SetupWords& words);
/// Those of them that say how it is written down.
void add_paper_options(CLI::App& command, SetupWords& words);

/// Both throw BadUse that names the option and what it may be.
PithByTape pith_of(const SetupWords& words);
report::Settings settings_of(const SetupWords& words);

}  // namespace flitchwise
