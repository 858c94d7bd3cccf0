#include "tools/app/look_command.hpp"

#include <iostream>
#include <memory>

#include "tools/app/exit_codes.hpp"
#include "tools/app/hints.hpp"
#include "tools/app/open_page.hpp"
#include "tools/app/progress.hpp"
#include "tools/app/request_options.hpp"
#include "tools/report/files.hpp"
#include "tools/report/look.hpp"
#include "tools/report/page.hpp"

namespace flitchwise {
namespace {

struct Asked {
  ScanRequest scan;
  std::string out;
  bool open = false;
};

/// Only where a folder was named or the page is to be opened: a look alone leaves nothing behind.
void write_page(const Asked& asked, const ModelledLog& modelled) {
  if (asked.out.empty() && !asked.open) {
    return;
  }
  if (!report::page_available()) {
    return show_page("look.html");
  }
  const std::string page = report::look_page_html(
      modelled.scan, modelled.log, modelled.points,
      report::look_text(modelled.scan, modelled.log, modelled.warnings), modelled.warnings);
  const auto files =
      report::write_together(asked.out.empty() ? "flitchwise-out" : asked.out, {{"look.html", page}});
  std::cout << "\nWritten:\n  " << files.front().string() << '\n';
  if (asked.open) {
    show_page(files.front());
  }
}

int run(const Asked& asked) {
  const ModelledLog modelled = model_log(asked.scan, Progress());
  if (modelled.outcome != ModelledLog::Outcome::done) {
    std::cout << report::look_text(modelled.scan,
                                   why_not(modelled.message.value(), asked.scan, report::Units::millimetres));
    std::cerr << "flitchwise: the scan cannot support a plan\n";
    return exit_code::scan_will_not_do;
  }
  std::cout << report::look_text(modelled.scan, modelled.log, modelled.warnings, options_for);
  write_page(asked, modelled);
  return exit_code::done;
}

}  // namespace

void add_look_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("look", "Say what a scan shows, and whether it will do for a plan");
  const auto asked = std::make_shared<Asked>();
  add_scan_options(*command, asked->scan);
  command->add_option("--out", asked->out, "Folder for look.html, a page that shows the log");
  command->add_flag("--open", asked->open, "Show the log in a browser: look.html");
  command->callback([asked, &exit_code] { exit_code = run(*asked); });
}

}  // namespace flitchwise
