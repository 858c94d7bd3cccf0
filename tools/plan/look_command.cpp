#include "plan/look_command.hpp"

#include <iostream>
#include <memory>

#include "plan/exit_codes.hpp"
#include "plan/model_log.hpp"
#include "plan/progress.hpp"
#include "plan/scan_options.hpp"
#include "report/look.hpp"

namespace flitchwise {
namespace {

int run(const ScanRequest& request) {
  const ModelledLog modelled = model_log(request, Progress());
  if (modelled.outcome != ModelledLog::Outcome::done) {
    std::cout << report::look_text(modelled.scan, modelled.message);
    std::cerr << "flitchwise: the scan cannot support a plan\n";
    return exit_code::scan_will_not_do;
  }
  std::cout << report::look_text(modelled.scan, modelled.log, modelled.warnings);
  return exit_code::done;
}

}  // namespace

void add_look_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("look", "Say what a scan shows, and whether it will do for a plan");
  const auto words = std::make_shared<ScanWords>();
  add_scan_options(*command, *words);
  command->callback([words, command, &exit_code] { exit_code = run(scan_request_of(*words, *command)); });
}

}  // namespace flitchwise
