#pragma once
/// `flitchwise yard`: a yard of logs against an order, on the command line.

#include <CLI/CLI.hpp>

namespace flitchwise {

/// Adds the subcommand. When it has run, `exit_code` is 0 whether or not the order is met, or 130 where it
/// was stopped by Ctrl-C before it had finished.
void add_yard_command(CLI::App& app, int& exit_code);

/// The program's first word when it is started to do one of the yard's jobs; see yard::worker_main.
constexpr const char* kYardWorker = "yard-worker";

}  // namespace flitchwise
