#pragma once
/// `flitchwise simulate`: a scan of an invented log and its truth, as files.

#include <CLI/CLI.hpp>

namespace flitchwise::simulate {

/// Adds the subcommand; it runs when `app` parses a command line that asks for it. It throws BadUse for
/// options that make no log, InputError if a file cannot be written.
void add_simulate_command(CLI::App& app);

}  // namespace flitchwise::simulate
