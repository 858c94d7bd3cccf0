/// The `flitchwise` program.

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>

#include "flitchwise/errors.hpp"
#include "plan/plan_command.hpp"
#include "simulate/simulate_command.hpp"

namespace {

// Exit codes of the command line.
constexpr int bad_use = 1;
constexpr int unreadable = 2;

int run(int argc, char** argv) {
  CLI::App app("From a scan of a felled log to the setup of its opening cut");
  app.require_subcommand(1);
  int exit_code = 0;
  flitchwise::add_plan_command(app, exit_code);
  flitchwise::simulate::add_simulate_command(app);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : bad_use;
  }
  return exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const flitchwise::BadUse& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return bad_use;
  } catch (const flitchwise::InputError& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return unreadable;
  } catch (const std::exception& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return bad_use;
  }
}
