#include "solver/allocate/allocate.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <set>
#include <tuple>

#include "scan/model/errors.hpp"
#include "solver/allocate/allocate_program.hpp"

namespace flitchwise::solver {
namespace {

using Kind = GoalResult::Kind;

// Nodes for one goal: about 7 s at the 3 microseconds a column and node that CBC was seen to take.
constexpr double kColumnNodes = 2e6;
constexpr int kFewestNodes = 100;
constexpr int kMostNodes = 4000;
constexpr int kTieShare = 20;  // rolls and margins matter less, and their bounds hardly ever close
constexpr double kHalf = 0.5;  // added to limits of whole numbers, out of reach of rounding

double share_between(double reached, double bound) {
  const double larger = std::max(std::abs(reached), std::abs(bound));
  return larger > 0 ? std::abs(reached - bound) / larger : 0;
}

void check(const Order& order, const std::vector<YardLog>& logs) {
  std::set<std::string> names;
  for (const YardLog& log : logs) {
    require(names.insert(log.name).second, "two logs are named '" + log.name + "'");
    for (const Candidate& candidate : log.candidates) {
      const std::string whose = "a candidate of log '" + log.name + "' ";
      require(candidate.boards.size() == order.lines.size(),
              whose + "has " + std::to_string(candidate.boards.size()) +
                  " counts of boards, but the order has " + std::to_string(order.lines.size()) + " lines");
      require(std::all_of(candidate.boards.begin(), candidate.boards.end(),
                          [](int boards) { return boards >= 0 && boards <= kMostBoards; }),
              whose + "has a count of boards below 0 or above " + std::to_string(kMostBoards));
      constexpr double kMostWood_m3 = 1000;  // no log is as large
      require(
          candidate.wood_m3 > 0 && candidate.wood_m3 <= kMostWood_m3,
          whose + "has wood_m3 = " + std::to_string(candidate.wood_m3) + ", but it must lie in (0, 1000]");
      require(candidate.rolls >= 0 && candidate.rolls <= kMostBoards,
              whose + "has a number of rolls below 0");
      require(candidate.margin_m >= 0 && candidate.margin_m <= 1,
              whose + "has margin_m = " + std::to_string(candidate.margin_m) + ", but it must lie in [0, 1]");
    }
  }
}

/// The goals one after the other.
class Allocator {
 public:
  Allocator(const Order& order, const std::vector<YardLog>& logs, const AllocateOptions& options)
      : order_(order), logs_(logs), options_(options), groups_(grouped(order, logs)) {
    result_.chosen.assign(logs.size(), Allocation::kSaved);
  }

  Allocation run() {
    if (!meet_all()) {
      make_most_valuable();
    }
    return std::move(result_);
  }

 private:
  /// True if every line can be met; then the result is complete.
  bool meet_all() {
    Program program(order_, groups_, Demand::all);
    const MipResult least_wood = program.least(program.costs(Kind::wood), {}, limits(program));
    note_time(least_wood);
    if (least_wood.values.empty()) {
      return false;
    }
    for (const int priority : priorities()) {
      const double all = all_value(priority);
      add_goal(Kind::value, priority, all, all);
    }
    finish(program, least_wood);
    return true;
  }

  void make_most_valuable() {
    Program program(order_, groups_, Demand::as_can);
    std::vector<double> values(program.columns(), 0);  // every log saved
    const double unit = whole_values(order_).unit;
    for (const int priority : priorities()) {
      const std::vector<double> costs = program.value_costs(priority);
      const MipResult most = program.least(costs, values, limits(program));
      note_time(most);
      add_goal(Kind::value, priority, -most.cost * unit, std::min(-most.bound * unit, all_value(priority)));
      program.hold(costs, most.cost + kHalf);
      values = most.values;
    }
    const MipResult least_wood = program.least(program.costs(Kind::wood), values, limits(program));
    note_time(least_wood);
    finish(program, least_wood);
  }

  /// From the least wood on.
  void finish(Program& program, MipResult best) {
    add_goal(Kind::wood, 0, best.cost / kUnitsAM3, best.bound / kUnitsAM3);
    program.hold(program.costs(Kind::wood), best.cost + kHalf);
    MipLimits few = limits(program);
    few.nodes = std::max(1, few.nodes / kTieShare);
    for (const Kind kind : {Kind::rolls, Kind::margin}) {
      const std::vector<double> costs = program.costs(kind);
      few.seconds = seconds_left();
      best = program.least(costs, best.values, few);
      note_time(best);
      const double unit = kind == Kind::rolls ? 1 : -1 / kUnitsAM;
      add_goal(kind, 0, best.cost * unit, best.bound * unit);
      program.hold(costs, best.cost + kHalf);
    }
    take(best.values);
  }

  /// Hands the choices out to the logs of each group, by name.
  void take(const std::vector<double>& values) {
    std::size_t column = 0;
    for (const LogGroup& group : groups_) {
      std::size_t next = 0;
      for (const Choice& choice : group.choices) {
        for (double times = values[column]; times > kHalf; --times) {
          const std::size_t log = group.logs[next++];
          result_.chosen[log] = candidate_of(order_, logs_[log], choice);
        }
        ++column;
      }
    }
  }

  void add_goal(Kind kind, int priority, double reached, double bound) {
    const double gap = share_between(reached, bound);
    constexpr double kNoGap = 1e-9;
    result_.goals.push_back({kind, priority, reached, bound, gap, gap < kNoGap});
  }

  std::set<int> priorities() const {
    std::set<int> priorities;
    for (const OrderLine& line : order_.lines) {
      priorities.insert(line.priority);
    }
    return priorities;
  }

  /// Of all boards that lines of this priority need.
  double all_value(int priority) const {
    const WholeValues whole = whole_values(order_);
    double sum = 0;
    for (std::size_t line = 0; line < order_.lines.size(); ++line) {
      if (order_.lines[line].priority == priority) {
        sum += static_cast<double>(whole.values[line]) * order_.lines[line].needed();
      }
    }
    return sum * whole.unit;
  }

  MipLimits limits(const Program& program) const {
    MipLimits limits;
    limits.gap = options_.most_gap;
    limits.nodes = options_.most_nodes;
    if (limits.nodes == 0) {
      const double columns = static_cast<double>(std::max<std::size_t>(1, program.columns()));
      limits.nodes = std::clamp(static_cast<int>(kColumnNodes / columns), kFewestNodes, kMostNodes);
    }
    limits.seconds = seconds_left();
    return limits;
  }

  double seconds_left() const {
    constexpr double kLeast_s = 0.1;  // enough to keep what was found
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - started_;
    return std::max(kLeast_s, options_.time_limit_s - passed.count());
  }

  void note_time(const MipResult& answer) {
    result_.time_ran_out = result_.time_ran_out || answer.out_of_time;
  }

  const Order& order_;
  const std::vector<YardLog>& logs_;
  const AllocateOptions& options_;
  std::vector<LogGroup> groups_;
  Allocation result_;
  std::chrono::steady_clock::time_point started_ = std::chrono::steady_clock::now();
};

std::vector<LineResult> line_results(const Order& order, const std::vector<YardLog>& logs,
                                     const std::vector<int>& chosen) {
  std::vector<LineResult> results(order.lines.size());
  for (std::size_t line = 0; line < results.size(); ++line) {
    LineResult& result = results[line];
    result.needed = order.lines[line].needed();
    for (std::size_t log = 0; log < logs.size(); ++log) {
      int most = 0;
      for (const Candidate& candidate : logs[log].candidates) {
        most = std::max(most, candidate.boards[line]);
      }
      result.could_make += most;
      if (chosen[log] != Allocation::kSaved) {
        result.made += logs[log].candidates[static_cast<std::size_t>(chosen[log])].boards[line];
      }
    }
    result.short_by = std::max(0, result.needed - result.made);
    result.over = std::max(0, result.made - result.needed);
  }
  return results;
}

/// Lines by due date, those without one last; then by priority.
std::vector<std::size_t> lines_by_date(const Order& order) {
  std::vector<std::size_t> lines(order.lines.size());
  std::iota(lines.begin(), lines.end(), std::size_t{0});
  std::stable_sort(lines.begin(), lines.end(), [&](std::size_t a, std::size_t b) {
    const OrderLine& first = order.lines[a];
    const OrderLine& second = order.lines[b];
    return std::tuple(first.due.empty(), first.due, first.priority) <
           std::tuple(second.due.empty(), second.due, second.priority);
  });
  return lines;
}

/// See Allocation::sawing_order. For each line the logs that give most boards for it go first.
std::vector<std::size_t> sawing_order_of(const Order& order, const std::vector<YardLog>& logs,
                                         const std::vector<int>& chosen) {
  std::vector<std::size_t> left;
  for (std::size_t log = 0; log < logs.size(); ++log) {
    if (chosen[log] != Allocation::kSaved) {
      left.push_back(log);
    }
  }
  const auto boards = [&](std::size_t log, std::size_t line) {
    return logs[log].candidates[static_cast<std::size_t>(chosen[log])].boards[line];
  };
  std::vector<std::size_t> sequence;
  for (const std::size_t line : lines_by_date(order)) {
    int made = 0;
    for (const std::size_t log : sequence) {
      made += boards(log, line);
    }
    std::sort(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
      return std::tuple(-boards(a, line), logs[a].name) < std::tuple(-boards(b, line), logs[b].name);
    });
    std::size_t taken = 0;
    while (taken < left.size() && boards(left[taken], line) > 0 && made < order.lines[line].needed()) {
      made += boards(left[taken], line);
      sequence.push_back(left[taken++]);
    }
    left.erase(left.begin(), left.begin() + static_cast<std::ptrdiff_t>(taken));
  }
  sequence.insert(sequence.end(), left.begin(), left.end());  // none, unless a log serves no line
  return sequence;
}

}  // namespace

void check(const AllocateOptions& options) {
  check_limits(options);
}

Allocation allocate(const Order& order, const std::vector<YardLog>& logs, const AllocateOptions& options) {
  check(order);
  check(options);
  check(order, logs);
  const bool needed = std::any_of(order.lines.begin(), order.lines.end(),
                                  [](const OrderLine& line) { return line.needed() > 0; });
  Allocation result;
  result.chosen.assign(logs.size(), Allocation::kSaved);
  if (needed) {
    result = Allocator(order, logs, options).run();
  }
  result.lines = line_results(order, logs, result.chosen);
  result.sawing_order = sawing_order_of(order, logs, result.chosen);
  for (const std::size_t log : result.sawing_order) {
    result.wood_m3 += logs[log].candidates[static_cast<std::size_t>(result.chosen[log])].wood_m3;
  }
  for (const GoalResult& goal : result.goals) {
    if (goal.kind == Kind::value || goal.kind == Kind::wood) {
      result.gap = std::max(result.gap, goal.gap);
    }
  }
  const bool met = std::all_of(result.lines.begin(), result.lines.end(),
                               [](const LineResult& line) { return line.short_by == 0; });
  result.status = !needed ? Allocation::Status::nothing_needed
                  : met   ? Allocation::Status::met
                          : Allocation::Status::short_of;
  return result;
}

}  // namespace flitchwise::solver
