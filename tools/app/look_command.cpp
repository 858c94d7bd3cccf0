#include "tools/app/look_command.hpp"

#include <iostream>
#include <memory>

#include "tools/app/exit_codes.hpp"
#include "tools/app/hints.hpp"
#include "tools/app/open_page.hpp"
#include "tools/app/progress.hpp"
#include "tools/app/scan_options.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/files.hpp"
#include "tools/report/look.hpp"
#include "tools/report/page.hpp"

namespace flitchwise {
namespace {

struct Words {
  ScanWords scan;
  std::string out;
  bool open = false;
};

/// Only where a folder was named or the page is to be opened: a look alone leaves nothing behind.
void write_page(const Words& words, const ModelledLog& modelled) {
  if (words.out.empty() && !words.open) {
    return;
  }
  if (!report::page_available()) {
    return show_page("look.html");
  }
  const std::string page = report::look_page_html(
      modelled.scan, modelled.log, modelled.points,
      report::look_text(modelled.scan, modelled.log, modelled.warnings), modelled.warnings);
  const auto files =
      report::write_together(words.out.empty() ? "flitchwise-out" : words.out, {{"look.html", page}});
  std::cout << "\nWritten:\n  " << files.front().string() << '\n';
  if (words.open) {
    show_page(files.front());
  }
}

int run(const ScanRequest& request, const Words& words) {
  const ModelledLog modelled = model_log(request, Progress());
  if (modelled.outcome != ModelledLog::Outcome::done) {
    std::cout << report::look_text(modelled.scan,
                                   why_not(modelled.message.value(), request, report::Units::millimetres));
    std::cerr << "flitchwise: the scan cannot support a plan\n";
    return exit_code::scan_will_not_do;
  }
  std::cout << report::look_text(modelled.scan, modelled.log, modelled.warnings, options_for);
  write_page(words, modelled);
  return exit_code::done;
}

}  // namespace

void add_look_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("look", "Say what a scan shows, and whether it will do for a plan");
  const auto words = std::make_shared<Words>();
  add_scan_options(*command, words->scan);
  command->add_option("--out", words->out, "Folder for look.html, a page that shows the log");
  command->add_flag("--open", words->open, "Show the log in a browser: look.html");
  command->callback(
      [words, command, &exit_code] { exit_code = run(scan_request_of(words->scan, *command), *words); });
}

}  // namespace flitchwise
