#include "tools/app/yard_command.hpp"

#include <atomic>
#include <charconv>
#include <cmath>
#include <csignal>
#include <iostream>
#include <memory>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "solver/allocate/order_file.hpp"
#include "tools/app/exit_codes.hpp"
#include "tools/app/progress.hpp"
#include "tools/app/scan_options.hpp"
#include "tools/app/search_options.hpp"
#include "tools/app/setup_options.hpp"
#include "tools/job/option_values.hpp"
#include "tools/yard/find_scans.hpp"
#include "tools/yard/tables.hpp"
#include "tools/yard/watch.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise {
namespace {

constexpr Limits kKerf{"--kerf", 0, 50, " mm"};
constexpr Limits kJobs{"--jobs", 1, 1024, ""};
constexpr Limits kMemory{"--memory", 64, 1e7, " MiB"};
constexpr Limits kEffort{"--effort", 1, 1e9, ""};
constexpr Limits kPlans{"--plans", 1, 64, ""};

/// The options as the person writes them.
struct Words {
  std::string folder;
  std::string order;
  ScanWords scan;
  SearchWords search;
  SetupWords setup;
  std::string kit;
  double kerf_mm = 0;
  int jobs = 0;
  double memory_mib = 0;
  double effort = static_cast<double>(yard::YardRequest::plan_search().most_nodes);
  int plans = yard::YardRequest{}.most_plans;
  std::string out = "flitchwise-yard";
  std::string shard;
  std::vector<std::string> merge;
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
  const std::string wrong =
      "--shard is '" + text + "', but must be which part of how many, for example 2/4 for the second of four";
  const std::size_t slash = text.find('/');
  require(slash != std::string::npos, wrong);
  const char* const end = text.data() + text.size();
  const auto first = std::from_chars(text.data(), text.data() + slash, request.shard);
  const auto second = std::from_chars(text.data() + slash + 1, end, request.shards);
  require(first.ec == std::errc() && first.ptr == text.data() + slash && second.ec == std::errc() &&
              second.ptr == end && request.shard >= 1 && request.shard <= request.shards,
          wrong);
}

solver::Order order_of(const Words& words) {
  require(!words.order.empty(),
          "--order is required: name the table of the boards that are wanted, for example --order order.csv; "
          "see flitchwise yard --help");
  solver::Order order = solver::read_order(words.order);
  for (solver::OrderLine& line : order.lines) {
    line.target.wane_share = wane_share_of(words.search);
  }
  return order;
}

void read_workers(const Words& words, const CLI::App& command, yard::WorkerOptions& workers) {
  workers.command = {"/proc/self/exe", kYardWorker};  // this very program, wherever it lies
  workers.stop = &stop_asked;
  if (command.count("--jobs") > 0) {
    require_within(kJobs, words.jobs);
    workers.jobs = words.jobs;
  }
  if (command.count("--memory") > 0) {
    require_within(kMemory, words.memory_mib);
    workers.memory_mib = static_cast<std::uint64_t>(words.memory_mib);
  }
}

yard::YardRequest request_of(const Words& words, const CLI::App& command) {
  yard::YardRequest request;
  request.folder = words.folder;
  request.order_file = words.order;
  request.order = order_of(words);
  request.scan = scan_request_of(words.scan, command);
  require_within(kEffort, words.effort);
  request.search = search_options_of(words.search);
  request.search.most_nodes = static_cast<std::uint64_t>(words.effort);
  request.all_patterns = command.count("--pattern") == 0;
  request.settings = settings_of(words.setup);
  require_within(kPlans, words.plans);
  request.most_plans = words.plans;
  if (command.count("--kit") > 0) {
    request.kit = words.kit;
  }
  if (command.count("--kerf") > 0) {
    require_within(kKerf, words.kerf_mm);
    request.kerf_m = words.kerf_mm / kMmAMetre;
  }
  require(!words.out.empty(), "--out is empty; name a folder for the results, or leave it out");
  request.out = words.out;
  read_workers(words, command, request.workers);
  if (!words.shard.empty()) {
    read_shard(words.shard, request);
  }
  request.merge.assign(words.merge.begin(), words.merge.end());
  require(!words.watch || request.shards == 1,
          "--watch and --shard do not go together: watch on one machine");
  return request;
}

std::string time_left(double seconds) {
  constexpr double kMinute = 60;
  constexpr double kHour = 3600;
  const auto whole = [](double value) { return std::to_string(std::lround(std::ceil(value))); };
  if (seconds < 0) {
    return "";
  }
  if (seconds < kMinute) {
    return ", about " + whole(seconds) + " s left";
  }
  return seconds < kHour ? ", about " + whole(seconds / kMinute) + " min left"
                         : ", about " + whole(seconds / kHour) + " h left";
}

/// Progress goes to stderr.
yard::YardListener listener_for(Progress& progress) {
  yard::YardListener listener;
  listener.on_stage = [&progress](std::string_view stage) { progress(stage); };
  listener.on_planned = [&progress](std::size_t done, std::size_t count, double seconds_left) {
    progress("planning the logs, " + std::to_string(done) + " of " + std::to_string(count) +
             time_left(seconds_left));
  };
  return listener;
}

/// What a run took differs from run to run: it goes to stderr and into no table.
void tell_effort(const yard::YardResult& result) {
  if (result.planned_now == 0) {
    return;
  }
  std::cerr << "... " << result.planned_now << " logs planned, " << result.known_before << " known before; "
            << std::lround(result.processor_seconds) << " s of processor time";
  if (result.peak_mib > 0) {
    std::cerr << "; most memory of a worker " << result.peak_mib << " MiB (" << result.peak_log << ")";
  }
  std::cerr << "; see effort.csv\n";
}

void tell_logs(const solver::Order& order, const yard::YardResult& result) {
  for (const std::size_t i : yard::in_order(result)) {
    const yard::YardLog& log = result.logs[i];
    if (const yard::CandidatePlan* plan = yard::chosen_plan(log)) {
      const std::string first = yard::first_words(*plan);
      std::cout << "  " << log.saw_as << ". " << log.name << ": " << yard::boards_words(order, plan->boards)
                << (first.empty() ? "" : " (" + first + ")") << '\n';
    }
  }
  std::size_t kept = 0;
  for (const yard::YardLog& log : result.logs) {
    kept += log.state == yard::YardLog::State::saved ? 1 : 0;
  }
  std::cout << "  To keep: " << kept << (kept == 1 ? " log\n" : " logs\n");
  for (const yard::YardLog& log : result.logs) {
    if (log.state != yard::YardLog::State::saw && log.state != yard::YardLog::State::saved) {
      std::cout << "  " << log.name << ": " << yard::state_words(log.state)
                << (log.message.empty() ? "" : ". " + log.message) << '\n';
    }
  }
}

void tell(const yard::YardRequest& request, const yard::YardResult& result) {
  for (const std::string& note : result.notes) {
    std::cerr << "flitchwise: " << note << '\n';
  }
  tell_effort(result);
  if (!result.allocated) {
    std::cout << "Part " << request.shard << " of " << request.shards
              << " is planned. When all are, run the same "
              << "command without --shard and with --merge and the stores of all parts, this one's being "
              << (request.out / yard::kStoreFile).string() << '\n';
    return;
  }
  std::cout << result.allocation.message << '\n';
  tell_logs(request.order, result);
  for (std::size_t line = 0; line < request.order.lines.size(); ++line) {
    if (const std::string missing = yard::missing_words(request.order, result, line); !missing.empty()) {
      std::cout << "  Short: " << missing << '\n';
    }
  }
  std::cout << "\nWritten:\n";
  for (const char* file : {"yard.html", "yard.csv", "coverage.csv", "loads.csv", "plans"}) {
    std::cout << "  " << (request.out / file).string() << '\n';
  }
  std::cout << std::flush;
}

int stopped(const yard::YardRequest& request, const yard::YardResult& result) {
  tell_effort(result);
  std::size_t left = 0;
  for (const yard::YardLog& log : result.logs) {
    left += log.state == yard::YardLog::State::not_planned ? 1 : 0;
  }
  std::cerr << "flitchwise: stopped with " << left << " logs still to plan; what is planned is kept in "
            << (request.out / yard::kStoreFile).string() << ": run the same command again to go on\n";
  return exit_code::stopped;
}

int watch(const yard::YardRequest& request, const Words& words) {
  std::cerr << "... watching " << words.folder << "; Ctrl-C ends it\n";
  Progress progress;
  yard::watch_yard(
      request, words.watching, listener_for(progress),
      [&](const yard::YardResult& result) { tell(request, result); },
      [](const std::string& trouble) { std::cerr << "flitchwise: " << trouble << '\n'; });
  std::cerr << "flitchwise: stopped watching; what is planned is kept in "
            << (request.out / yard::kStoreFile).string() << ": run the same command again to go on\n";
  return exit_code::done;
}

int run(const Words& words, const CLI::App& command) {
  const yard::YardRequest request = request_of(words, command);
  stop_asked = false;
  std::signal(SIGINT, ask_to_stop);
  std::signal(SIGTERM, ask_to_stop);
  if (words.watch) {
    return watch(request, words);
  }
  Progress progress;
  const yard::YardResult result = yard::plan_yard(request, listener_for(progress));
  if (!result.finished) {
    return stopped(request, result);
  }
  tell(request, result);
  return exit_code::done;
}

void add_options(CLI::App& command, Words& words) {
  command
      .add_option("DIR", words.folder, "Folder with the scans, and with logs.csv for what is known of each")
      ->required();
  command.add_option("--order", words.order,
                     "The order: a CSV table with target, quantity, value, priority, due and on_hand");
  add_kind_options(command, words.scan);
  add_cutting_options(command, words.search);
  command.add_option("--kit", words.kit,
                     "Your equipment: a kit file (TOML); a plain kit is assumed without one");
  command.add_option("--kerf", words.kerf_mm, "Width of the saw cut in mm, if not the kit's");
  command.add_option("--plans", words.plans, "Plans to look for in each log (default 16)");
  command.add_option("--effort", words.effort,
                     "Places that each plan's search may look at (default 1500); more finds a little more");
  add_paper_options(command, words.setup);
  command.add_option("--jobs", words.jobs, "Processors to use (default: all)");
  command.add_option("--memory", words.memory_mib,
                     "Memory for each job in MiB (default: an equal share of most of the machine's)");
  command.add_option("--out", words.out, "Folder for the results (default flitchwise-yard)");
  command.add_option("--shard", words.shard,
                     "Plan only a part of the yard, for example 2/4; --merge joins the parts");
  command.add_option("--merge", words.merge, "Take over the plans of other runs: their yard.sqlite files");
  command.add_flag("--watch", words.watch, "Plan new scans as they arrive, until Ctrl-C");
  command.add_option("--settle", words.watching.settle_s,
                     "With --watch: seconds for which a scan must not have changed (default 5)");
}

}  // namespace

void add_yard_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("yard", "Plan a yard of logs against an order");
  const auto words = std::make_shared<Words>();
  add_options(*command, *words);
  command->callback([words, command, &exit_code] { exit_code = run(*words, *command); });
}

}  // namespace flitchwise
