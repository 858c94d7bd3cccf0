/// The `flitchwise` program.

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <new>
#include <string>

#include "scan/model/errors.hpp"
#include "tools/app/exit_codes.hpp"
#include "tools/app/look_command.hpp"
#include "tools/app/plan_command.hpp"
#include "tools/app/simulate_command.hpp"
#include "tools/app/yard_command.hpp"
#include "tools/yard/workers.hpp"

namespace {

/// One sentence, as for every other trouble.
std::string sentence(const CLI::App& app, const CLI::ParseError& error) {
  if (app.get_subcommands().empty()) {
    return "name a command, plan, look, yard or simulate, for example: flitchwise plan scan.ply --board "
           "50x150x3000";
  }
  const std::string unreadable_value = "Could not convert: ";
  std::string text = error.what();
  if (text.starts_with(unreadable_value)) {
    text = text.substr(unreadable_value.size()) + " is not a number";
  }
  return text + "; see flitchwise " + app.get_subcommands().front()->get_name() + " --help";
}

int run(int argc, char** argv) {
  if (argc > 1 && argv[1] == std::string(flitchwise::kYardWorker)) {
    return flitchwise::yard::worker_main({argv + 2, argv + argc});
  }
  CLI::App app("From a scan of a felled log to the setup of its opening cut");
  app.require_subcommand(1);
  int exit_code = flitchwise::exit_code::done;
  flitchwise::add_plan_command(app, exit_code);
  flitchwise::add_look_command(app, exit_code);
  flitchwise::add_yard_command(app, exit_code);
  flitchwise::simulate::add_simulate_command(app);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) {
      return app.exit(error);  // --help
    }
    std::cerr << "flitchwise: " << sentence(app, error) << '\n';
    return flitchwise::exit_code::bad_use;
  }
  return exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const flitchwise::BadUse& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return flitchwise::exit_code::bad_use;
  } catch (const flitchwise::InputError& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return flitchwise::exit_code::unreadable;
  } catch (const std::bad_alloc&) {
    std::cerr << "flitchwise: the machine has too little memory for this file: export it with fewer points\n";
    return flitchwise::exit_code::unreadable;
  } catch (const std::exception& error) {
    std::cerr << "flitchwise: " << error.what() << '\n';
    return flitchwise::exit_code::bad_use;
  }
}
