#include "tools/app/plan_command.hpp"

#include <filesystem>
#include <iostream>
#include <memory>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/app/exit_codes.hpp"
#include "tools/app/open_page.hpp"
#include "tools/app/progress.hpp"
#include "tools/app/scan_options.hpp"
#include "tools/app/search_options.hpp"
#include "tools/app/setup_options.hpp"
#include "tools/job/option_values.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/job/plan_pieces.hpp"
#include "tools/report/advice_words.hpp"
#include "tools/report/files.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/short_answer.hpp"

namespace flitchwise {
namespace {

constexpr Limits kKerf{"--kerf", 0, 50, " mm"};
constexpr Limits kAdviceTime{"--advice-time", 0, 3600, " s"};

/// The options as the person writes them: millimetres and words.
struct Words {
  ScanWords scan;
  SearchWords search;
  std::string kit;
  double kerf_mm = 0;
  SetupWords setup;
  bool crosscut_first = false;
  double advice_time_s = PlanRequest{}.advice_time_s;
  std::string out = "flitchwise-out";
  bool open = false;
  PlanRequest request;
};

PlanRequest request_of(const Words& words, const CLI::App& command) {
  PlanRequest request = words.request;
  require(!words.out.empty(), "--out is empty; name a folder for the files, or leave it out");
  request.pith = pith_of(words.setup);
  const std::vector<GreenTarget> green = green_targets_of(words.search, words.scan.species);
  request.targets = targets_of(words.search, green);
  for (const GreenTarget& each : green) {
    request.notes.push_back(each.explanation);
  }
  request.search = search_options_of(words.search);
  require_within(kAdviceTime, words.advice_time_s);
  request.advice_time_s = words.advice_time_s;
  request.scan = scan_request_of(words.scan, command);
  if (command.count("--kit") > 0) {
    request.kit = words.kit;
  }
  if (command.count("--kerf") > 0) {
    require_within(kKerf, words.kerf_mm);
    request.kerf_m = words.kerf_mm / kMmAMetre;
  }
  return request;
}

int say(int code, const std::string& message) {
  std::cerr << "flitchwise: " << message << '\n';
  return code;
}

std::string in_units_of(const report::Settings& settings, const std::string& message) {
  return report::in_units(settings.units, message);
}

void write(const report::Report& report, const std::filesystem::path& out, bool open) {
  const auto files = report::write_report(report, out);
  std::cout << report::short_answer(report) << "\nWritten:\n";
  for (const auto& file : files) {
    std::cout << "  " << file.string() << '\n';
  }
  if (open) {
    show_page(out / "plan.html");
  }
}

int run_whole(const PlanRequest& request, const report::Settings& settings, const std::string& out,
              bool open) {
  const PlannedLog planned = plan_log(request, Progress());
  if (planned.outcome == PlannedLog::Outcome::scan_will_not_do) {
    return say(exit_code::scan_will_not_do, in_units_of(settings, planned.message));
  }
  if (planned.outcome == PlannedLog::Outcome::no_board_fits) {
    return say(exit_code::no_board_fits, report::why_none_words(settings.units, planned.plan));
  }
  write(report::report_of(settings, planned), out, open);
  return exit_code::done;
}

/// Each piece of the log into a folder of its own.
int run_pieces(const PlanRequest& request, const report::Settings& settings, const std::string& out,
               bool open) {
  const PlannedPieces planned = plan_pieces(request, Progress());
  if (planned.whole.outcome == PlannedLog::Outcome::scan_will_not_do) {
    return say(exit_code::scan_will_not_do, in_units_of(settings, planned.whole.message));
  }
  if (!planned.cut) {
    return say(exit_code::no_board_fits,
               "No cross-cut leaves two pieces that are long enough for a board and give one: plan the log "
               "without --crosscut-first.");
  }
  std::cout << report::crosscut_words(report::report_of(settings, planned.whole), *planned.cut) << '\n';
  for (std::size_t i = 0; i < planned.pieces.size(); ++i) {
    const std::string piece = "piece-" + std::to_string(i + 1);
    std::cout << "\n== " << piece << (i == 0 ? ", with the log's small end" : ", with the log's large end")
              << " ==\n";
    if (planned.pieces[i].outcome == PlannedLog::Outcome::done) {
      write(report::report_of(settings, planned.pieces[i]), std::filesystem::path(out) / piece, open);
    } else {
      std::cout << report::why_none_words(settings.units, planned.pieces[i].plan) << '\n';
    }
  }
  return exit_code::done;
}

int run(const Words& words, const CLI::App& command) {
  const PlanRequest request = request_of(words, command);
  const report::Settings settings = settings_of(words.setup);
  return words.crosscut_first ? run_pieces(request, settings, words.out, words.open)
                              : run_whole(request, settings, words.out, words.open);
}

void add_options(CLI::App& command, Words& words) {
  add_scan_options(command, words.scan);
  add_search_options(command, words.search);
  command.add_option("--kit", words.kit,
                     "Your equipment: a kit file (TOML); a plain kit is assumed without one");
  command.add_option("--kerf", words.kerf_mm, "Width of the saw cut in mm, if not the kit's");
  add_setup_options(command, words.setup);
  command.add_flag("--crosscut-first", words.crosscut_first,
                   "Cut the log in two at the best place and plan each piece by itself");
  command.add_option(
      "--advice-time", words.advice_time_s,
      "Seconds at most to look for what would give one more board (default 30; 0: do not look)");
  command.add_option("--out", words.out, "Folder for the files (default flitchwise-out)");
  command.add_flag("--open", words.open, "Show the plan in a browser: plan.html");
}

}  // namespace

void add_plan_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("plan", "Plan the cuts of a scanned log and the setup of the rail");
  const auto words = std::make_shared<Words>();
  add_options(*command, *words);
  command->callback([words, command, &exit_code] { exit_code = run(*words, *command); });
}

}  // namespace flitchwise
