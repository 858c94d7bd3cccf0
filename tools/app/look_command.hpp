#pragma once
/// `flitchwise look`: what a scan shows, and whether it will do.

#include <CLI/CLI.hpp>

namespace flitchwise {

/// Adds the subcommand. When it has run, `exit_code` is 0 or 3 (the scan cannot support a plan).
void add_look_command(CLI::App& app, int& exit_code);

}  // namespace flitchwise
