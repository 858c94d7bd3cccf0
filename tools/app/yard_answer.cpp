#include "tools/app/yard_answer.hpp"

#include <cmath>
#include <iostream>
#include <memory>

#include "tools/app/hints.hpp"
#include "tools/app/progress.hpp"
#include "tools/yard/find_scans.hpp"
#include "tools/yard/tables.hpp"
#include "tools/yard/words.hpp"

namespace flitchwise {
namespace {

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
      const std::string message = yard::message_words(log, options_for);
      std::cout << "  " << log.name << ": " << yard::state_words(log.state)
                << (message.empty() ? "" : ". " + message) << '\n';
    }
  }
}

}  // namespace

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
  std::cout << yard::allocation_words(result.allocation) << '\n';
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

void tell_stopped(const yard::YardRequest& request, const yard::YardResult& result) {
  tell_effort(result);
  std::size_t left = 0;
  for (const yard::YardLog& log : result.logs) {
    left += log.state == yard::YardLog::State::not_planned ? 1 : 0;
  }
  tell_how_to_go_on(request, "stopped with " + std::to_string(left) + " logs still to plan");
}

void tell_how_to_go_on(const yard::YardRequest& request, const std::string& what) {
  std::cerr << "flitchwise: " << what << "; what is planned is kept in "
            << (request.out / yard::kStoreFile).string() << ": run the same command again to go on\n";
}

yard::YardListener progress_listener() {
  const auto progress = std::make_shared<Progress>();
  yard::YardListener listener;
  listener.on_stage = [progress](std::string_view stage) { (*progress)(stage); };
  listener.on_planned = [progress](std::size_t done, std::size_t count, double seconds_left) {
    (*progress)("planning the logs, " + std::to_string(done) + " of " + std::to_string(count) +
                time_left(seconds_left));
  };
  return listener;
}

}  // namespace flitchwise
