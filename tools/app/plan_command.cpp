#include "tools/app/plan_command.hpp"

#include <filesystem>
#include <iostream>
#include <memory>

#include "scan/model/errors.hpp"
#include "tools/app/exit_codes.hpp"
#include "tools/app/hints.hpp"
#include "tools/app/open_page.hpp"
#include "tools/app/progress.hpp"
#include "tools/app/request_options.hpp"
#include "tools/job/plan_pieces.hpp"
#include "tools/report/advice_words.hpp"
#include "tools/report/paint/write_report.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/short_answer.hpp"

namespace flitchwise {
namespace {

struct Asked {
  PlanRequest request;
  WantedBoards wanted;
  double wane_share = 0;
  report::Settings settings;
  bool crosscut_first = false;
  std::string out = "flitchwise-out";
  bool open = false;
};

int say(int code, const std::string& message) {
  std::cerr << "flitchwise: " << message << '\n';
  return code;
}

int say(int code, const Asked& asked, const Fact& why) {
  return say(code, why_not(why, asked.request.scan, asked.settings.units));
}

void write(const Asked& asked, const PlannedLog& planned, const std::filesystem::path& out) {
  const report::Report report(planned, asked.settings);
  const auto files = report::write_report(report, out);
  std::cout << report::short_answer(report, options_for) << "\nWritten:\n";
  for (const auto& file : files) {
    std::cout << "  " << file.string() << '\n';
  }
  if (asked.open) {
    show_page(out / "plan.html");
  }
}

int plan_whole(const Asked& asked) {
  const PlannedLog planned = plan_log(asked.request, Progress());
  if (planned.outcome == PlannedLog::Outcome::scan_will_not_do) {
    return say(exit_code::scan_will_not_do, asked, planned.message.value());
  }
  if (planned.outcome == PlannedLog::Outcome::no_board_fits) {
    return say(exit_code::no_board_fits, report::why_none_words(asked.settings.units, planned.plan));
  }
  write(asked, planned, asked.out);
  return exit_code::done;
}

/// Each piece of the log into a folder of its own.
int plan_each_piece(const Asked& asked) {
  const PlannedPieces planned = plan_pieces(asked.request, Progress());
  if (planned.whole.outcome == PlannedLog::Outcome::scan_will_not_do) {
    return say(exit_code::scan_will_not_do, asked, planned.whole.message.value());
  }
  if (!planned.cut) {
    return say(exit_code::no_board_fits,
               "No cross-cut leaves two pieces that are long enough for a board and give one: plan the log "
               "without --crosscut-first.");
  }
  std::cout << report::crosscut_words(report::Report(planned.whole, asked.settings), *planned.cut) << '\n';
  for (std::size_t i = 0; i < planned.pieces.size(); ++i) {
    const std::string piece = "piece-" + std::to_string(i + 1);
    std::cout << "\n== " << piece << (i == 0 ? ", with the log's small end" : ", with the log's large end")
              << " ==\n";
    if (planned.pieces[i].outcome == PlannedLog::Outcome::done) {
      write(asked, planned.pieces[i], std::filesystem::path(asked.out) / piece);
    } else {
      std::cout << report::why_none_words(asked.settings.units, planned.pieces[i].plan) << '\n';
    }
  }
  return exit_code::done;
}

int run(Asked& asked) {
  require(!asked.out.empty(), "--out is empty; name a folder for the files, or leave it out");
  set_targets(asked.wanted, asked.wane_share, asked.request);
  return asked.crosscut_first ? plan_each_piece(asked) : plan_whole(asked);
}

void add_options(CLI::App& command, Asked& asked) {
  PlanRequest& request = asked.request;
  add_scan_options(command, request.scan);
  add_board_options(command, asked.wanted);
  add_number<&solver::SearchOptions::short_lengths_m>(
      command, "--short-lengths", request.search,
      "Lengths in mm of shorter boards that are welcome from what the full-length boards leave (jackets, "
      "edges, ends), e.g. 2000,1500");
  add_cutting_options(command, request.search, asked.wane_share);
  add_number<&solver::SearchOptions::time_limit_s>(command, "--time-limit", request.search,
                                                   "Seconds for the proof");
  add_kit_options(command, request);
  add_pith_option(command, request.pith);
  add_paper_options(command, asked.settings);
  command.add_flag("--crosscut-first", asked.crosscut_first,
                   "Cut the log in two at the best place and plan each piece by itself");
  add_number<&PlanRequest::advice_time_s>(
      command, "--advice-time", request,
      "Seconds at most to look for what would give one more board; 0: do not look");
  command.add_option("--out", asked.out, "Folder for the files (default " + asked.out + ")");
  command.add_flag("--open", asked.open, "Show the plan in a browser: plan.html");
}

}  // namespace

void add_plan_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("plan", "Plan the cuts of a scanned log and the setup of the rail");
  const auto asked = std::make_shared<Asked>();
  add_options(*command, *asked);
  command->callback([asked, &exit_code] { exit_code = run(*asked); });
}

}  // namespace flitchwise
