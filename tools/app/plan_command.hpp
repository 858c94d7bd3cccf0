#pragma once
/// `flitchwise plan`: the main job on the command line.

#include <CLI/CLI.hpp>

namespace flitchwise {

/// Adds the subcommand. When it has run, `exit_code` is 0, 3 (the scan cannot support a plan) or 4 (no board
/// fits).
void add_plan_command(CLI::App& app, int& exit_code);

}  // namespace flitchwise
