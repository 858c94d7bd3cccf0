#include "tools/app/yard_command.hpp"

#include <array>
#include <atomic>
#include <csignal>
#include <iostream>
#include <memory>

#include "scan/model/errors.hpp"
#include "solver/allocate/order_file.hpp"
#include "tools/app/exit_codes.hpp"
#include "tools/app/hints.hpp"
#include "tools/app/request_options.hpp"
#include "tools/app/yard_answer.hpp"
#include "tools/yard/watch.hpp"

namespace flitchwise {
namespace {

struct Asked {
  yard::YardRequest request;
  double wane_share = 0;
  bool watch = false;
  yard::WatchOptions watching;
};

/// Set by Ctrl-C and by a polite request to end; a handler may do no more.
std::atomic<bool> stop_asked{false};

void ask_to_stop(int /*signal*/) {
  stop_asked = true;
}

/// "2/4" as which of how many.
void read_shard(const std::string& text, yard::YardRequest& request) {
  std::array<double, 2> part{};
  const bool read = read_numbers(text, "/", part);
  request.shard = static_cast<int>(part[0]);
  request.shards = static_cast<int>(part[1]);
  require(read && request.shard == part[0] && request.shards == part[1] && request.shard >= 1 &&
              request.shard <= request.shards,
          "--shard is '" + text +
              "', but must be which part of how many, for example 2/4 for the second of four");
}

void complete(Asked& asked, bool one_pattern) {
  yard::YardRequest& request = asked.request;
  require(!request.order_file.empty(),
          "--order is required: name the table of the boards that are wanted, for example --order order.csv; "
          "see flitchwise yard --help");
  request.order = solver::read_order(request.order_file);
  for (solver::OrderLine& line : request.order.lines) {
    line.target.wane_share = asked.wane_share;
  }
  request.all_patterns = !one_pattern;
  require(!request.out.empty(), "--out is empty; name a folder for the results, or leave it out");
  require(!asked.watch || request.shards == 1,
          "--watch and --shard do not go together: watch on one machine");
  request.workers.command = {"/proc/self/exe", kYardWorker};  // this very program, wherever it lies
  request.workers.stop = &stop_asked;
}

int watch(const Asked& asked) {
  std::cerr << "... watching " << asked.request.folder.string() << "; Ctrl-C ends it\n";
  yard::watch_yard(
      asked.request, asked.watching, progress_listener(),
      [&](const yard::YardResult& result) { tell(asked.request, result); },
      [](const std::string& trouble) { std::cerr << "flitchwise: " << trouble << '\n'; });
  tell_how_to_go_on(asked.request, "stopped watching");
  return exit_code::done;
}

int run(const Asked& asked) {
  stop_asked = false;
  std::signal(SIGINT, ask_to_stop);
  std::signal(SIGTERM, ask_to_stop);
  if (asked.watch) {
    return watch(asked);
  }
  const yard::YardResult result = yard::plan_yard(asked.request, progress_listener());
  if (!result.finished) {
    tell_stopped(asked.request, result);
    return exit_code::stopped;
  }
  tell(asked.request, result);
  return exit_code::done;
}

void add_run_options(CLI::App& command, Asked& asked) {
  using yard::WorkerOptions;
  constexpr Range kJobs{1, range_of<&WorkerOptions::jobs>().most};
  constexpr Range kMemory{64, range_of<&WorkerOptions::memory_mib>().most};
  yard::YardRequest& request = asked.request;
  add_number<&WorkerOptions::jobs>(command, "--jobs", request.workers, "Processors to use (default: all)",
                                   kJobs);
  add_number<&WorkerOptions::memory_mib>(
      command, "--memory", request.workers,
      "Memory for each job in MiB (default: an equal share of most of the machine's)", kMemory);
  command.add_option("--out", request.out, "Folder for the results (default flitchwise-yard)");
  command.add_option_function<std::string>(
      "--shard", [&request](const std::string& text) { read_shard(text, request); },
      "Plan only a part of the yard, for example 2/4; --merge joins the parts");
  command.add_option("--merge", request.merge, "Take over the plans of other runs: their yard.sqlite files");
  command.add_flag("--watch", asked.watch, "Plan new scans as they arrive, until Ctrl-C");
  add_number<&yard::WatchOptions::settle_s>(command, "--settle", asked.watching,
                                            "With --watch: seconds for which a scan must not have changed");
}

void add_options(CLI::App& command, Asked& asked) {
  constexpr Range kEffort{1, 1e9};
  yard::YardRequest& request = asked.request;
  command
      .add_option("DIR", request.folder, "Folder with the scans, and with logs.csv for what is known of each")
      ->required();
  command.add_option("--order", request.order_file,
                     "The order: a CSV table with target, quantity, value, priority, due and on_hand");
  add_kind_options(command, request.scan);
  add_cutting_options(command, request.search, asked.wane_share);
  add_kit_options(command, request);
  add_number<&yard::YardRequest::most_plans>(command, "--plans", request, "Plans to look for in each log");
  add_number<&solver::SearchOptions::most_nodes>(
      command, "--effort", request.search,
      "Places that each plan's search may look at; more finds a little more", kEffort);
  add_paper_options(command, request.settings);
  add_run_options(command, asked);
}

}  // namespace

void add_yard_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("yard", "Plan a yard of logs against an order");
  const auto asked = std::make_shared<Asked>();
  asked->request.out = "flitchwise-yard";
  add_options(*command, *asked);
  command->callback([asked, command, &exit_code] {
    complete(*asked, command->count("--pattern") > 0);
    exit_code = run(*asked);
  });
}

}  // namespace flitchwise
