#include "plan/plan_command.hpp"

#include <iostream>
#include <memory>

#include "flitchwise/errors.hpp"
#include "plan/board_size.hpp"
#include "plan/exit_codes.hpp"
#include "plan/option_values.hpp"
#include "plan/plan_log.hpp"
#include "plan/progress.hpp"
#include "plan/scan_options.hpp"

namespace flitchwise {
namespace {

constexpr Limits kKerf{"--kerf", 0, 50, " mm"};
constexpr Limits kConfidence{"--confidence", 0, 5, ""};
constexpr Limits kTimeLimit{"--time-limit", 0.001, 86400, " s"};

/// The options as the person writes them: millimetres and words.
struct Words {
  ScanWords scan;
  std::vector<std::string> boards;
  std::string kit;
  double kerf_mm = 0;
  std::string out = "flitchwise-out";
  PlanRequest request;
};

PlanRequest request_of(const Words& words, const CLI::App& command) {
  PlanRequest request = words.request;
  require(words.boards.size() == 1, "give one --board; several sizes at once cannot be planned yet");
  require(!words.out.empty(), "--out is empty; name a folder for the files, or leave it out");
  request.target = board_size(words.boards.front());
  request.scan = scan_request_of(words.scan, command);
  if (command.count("--kit") > 0) {
    request.kit = words.kit;
  }
  if (command.count("--kerf") > 0) {
    require_within(kKerf, words.kerf_mm);
    request.kerf_m = words.kerf_mm / kMmAMetre;
  }
  require_within(kConfidence, request.search.sigmas);
  require_within(kTimeLimit, request.search.time_limit_s);
  return request;
}

int run(const Words& words, const CLI::App& command) {
  const PlanRequest request = request_of(words, command);
  const PlannedLog planned = plan_log(request, Progress());
  if (planned.outcome == PlannedLog::Outcome::scan_will_not_do) {
    std::cerr << "flitchwise: " << planned.message << '\n';
    return exit_code::scan_will_not_do;
  }
  if (planned.outcome == PlannedLog::Outcome::no_board_fits) {
    std::cerr << "flitchwise: " << planned.message << '\n';
    return exit_code::no_board_fits;
  }
  const report::Report report{planned.scan,      planned.log,   planned.plan,
                              planned.tolerance, planned.sheet, planned.warnings};
  const auto files = report::write_report(report, words.out);
  std::cout << report::short_answer(report) << "\nWritten:\n";
  for (const auto& file : files) {
    std::cout << "  " << file.string() << '\n';
  }
  return exit_code::done;
}

void add_options(CLI::App& command, Words& words) {
  add_scan_options(command, words.scan);
  command
      .add_option("--board", words.boards,
                  "Board wanted, rough: thickness x width x length in mm, e.g. 50x150x3000")
      ->allow_extra_args(false)  // else it would swallow a SCAN that follows it
      ->required();
  command.add_option("--kit", words.kit,
                     "Your equipment: a kit file (TOML); a plain kit is assumed without one");
  command.add_option("--kerf", words.kerf_mm, "Width of the saw cut in mm, if not the kit's");
  command.add_flag("--as-it-lies", words.request.search.as_it_lies, "Do not roll the log");
  command.add_option("--confidence", words.request.search.sigmas,
                     "Keep inside the wood by this many standard deviations of its surface (default 2)");
  command.add_option("--time-limit", words.request.search.time_limit_s, "Seconds for the proof (default 30)");
  command.add_option("--out", words.out, "Folder for the files (default flitchwise-out)");
}

}  // namespace

void add_plan_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("plan", "Plan the cuts of a scanned log and the setup of the rail");
  const auto words = std::make_shared<Words>();
  add_options(*command, *words);
  command->callback([words, command, &exit_code] { exit_code = run(*words, *command); });
}

}  // namespace flitchwise
