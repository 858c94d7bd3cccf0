#include "solver/allocate/allocate_program.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>

namespace flitchwise::solver {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

Choice choice_of(const Order& order, const Candidate& candidate, int index) {
  Choice choice;
  choice.candidate = index;
  for (std::size_t line = 0; line < order.lines.size(); ++line) {
    choice.boards.push_back(std::min(candidate.boards[line], order.lines[line].needed()));
  }
  choice.wood = std::max<std::int64_t>(1, std::llround(candidate.wood_m3 * kUnitsAM3));
  choice.rolls = candidate.rolls;
  choice.margin = std::llround(candidate.margin_m * kUnitsAM);
  return choice;
}

bool gives_nothing(const Choice& choice) {
  return std::all_of(choice.boards.begin(), choice.boards.end(), [](int boards) { return boards == 0; });
}

/// Equal ones are each other's match.
bool at_least_as_good(const Choice& a, const Choice& b) {
  for (std::size_t line = 0; line < a.boards.size(); ++line) {
    if (a.boards[line] < b.boards[line]) {
      return false;
    }
  }
  return a.wood <= b.wood && a.rolls <= b.rolls && a.margin >= b.margin;
}

/// In an order of their own, so that the order of the candidates has no effect.
std::vector<Choice> best_choices(const Order& order, const YardLog& log) {
  std::vector<Choice> kept;
  for (std::size_t i = 0; i < log.candidates.size(); ++i) {
    const Choice choice = choice_of(order, log.candidates[i], static_cast<int>(i));
    const auto beats_it = [&](const Choice& other) { return at_least_as_good(other, choice); };
    if (gives_nothing(choice) || std::any_of(kept.begin(), kept.end(), beats_it)) {
      continue;
    }
    std::erase_if(kept, [&](const Choice& other) { return at_least_as_good(choice, other); });
    kept.push_back(choice);
  }
  const auto what_counts = [](const Choice& choice) {
    return std::tie(choice.boards, choice.wood, choice.rolls, choice.margin);
  };
  std::sort(kept.begin(), kept.end(),
            [&](const Choice& a, const Choice& b) { return what_counts(a) < what_counts(b); });
  return kept;
}

std::vector<Choice> unnumbered(std::vector<Choice> choices) {
  for (Choice& choice : choices) {
    choice.candidate = 0;
  }
  return choices;
}

}  // namespace

std::vector<LogGroup> grouped(const Order& order, const std::vector<YardLog>& logs) {
  std::vector<std::size_t> by_name(logs.size());
  std::iota(by_name.begin(), by_name.end(), std::size_t{0});
  std::sort(by_name.begin(), by_name.end(),
            [&](std::size_t a, std::size_t b) { return logs[a].name < logs[b].name; });
  std::vector<LogGroup> groups;
  std::map<std::vector<Choice>, std::size_t> known;
  for (const std::size_t log : by_name) {
    std::vector<Choice> choices = best_choices(order, logs[log]);
    if (choices.empty()) {
      continue;
    }
    const auto [place, is_new] = known.try_emplace(unnumbered(choices), groups.size());
    if (is_new) {
      groups.push_back({{}, std::move(choices)});
    }
    groups[place->second].logs.push_back(log);
  }
  return groups;
}

int candidate_of(const Order& order, const YardLog& log, const Choice& choice) {
  for (std::size_t i = 0; i < log.candidates.size(); ++i) {
    if (choice_of(order, log.candidates[i], choice.candidate) == choice) {
      return static_cast<int>(i);
    }
  }
  return Allocation::kSaved;
}

WholeValues whole_values(const Order& order) {
  WholeValues whole;
  std::int64_t divisor = 0;
  for (const OrderLine& line : order.lines) {
    whole.values.push_back(std::max<std::int64_t>(1, std::llround(line.target.value * kUnitsAValue)));
    divisor = std::gcd(divisor, whole.values.back());
  }
  for (std::int64_t& value : whole.values) {
    value /= divisor;
  }
  whole.unit = static_cast<double>(divisor) / kUnitsAValue;
  return whole;
}

Program::Program(const Order& order, const std::vector<LogGroup>& groups, Demand demand)
    : values_(whole_values(order).values) {
  for (const LogGroup& group : groups) {
    add_group(group);
  }
  for (std::size_t line = 0; line < order.lines.size(); ++line) {
    priorities_.push_back(order.lines[line].priority);
    add_line(order, line, groups, demand);
  }
}

/// Its choices together are taken at most as often as it has logs.
void Program::add_group(const LogGroup& group) {
  const auto logs = static_cast<double>(group.logs.size());
  MipRow row;
  row.lower = -kInfinity;
  row.upper = logs;
  for (const Choice& choice : group.choices) {
    row.columns.push_back(static_cast<int>(mip_.columns.size()));
    row.coefficients.push_back(1);
    mip_.columns.push_back({0, logs});
    choices_.push_back(choice);
  }
  mip_.rows.push_back(std::move(row));
}

void Program::add_line(const Order& order, std::size_t line, const std::vector<LogGroup>& groups,
                       Demand demand) {
  const double needed = order.lines[line].needed();
  MipRow row;
  row.lower = needed;
  row.upper = kInfinity;
  int column = 0;
  for (const LogGroup& group : groups) {
    for (const Choice& choice : group.choices) {
      if (choice.boards[line] > 0) {
        row.columns.push_back(column);
        row.coefficients.push_back(choice.boards[line]);
      }
      ++column;
    }
  }
  if (demand == Demand::as_can) {
    row.lower = 0;
    row.columns.push_back(static_cast<int>(mip_.columns.size()));
    row.coefficients.push_back(-1);
    mip_.columns.push_back({0, needed});
  }
  mip_.rows.push_back(std::move(row));
}

std::vector<double> Program::costs(GoalResult::Kind kind) const {
  std::vector<double> costs(mip_.columns.size(), 0);
  for (std::size_t column = 0; column < choices_.size(); ++column) {
    const Choice& choice = choices_[column];
    costs[column] = kind == GoalResult::Kind::wood    ? static_cast<double>(choice.wood)
                    : kind == GoalResult::Kind::rolls ? static_cast<double>(choice.rolls)
                                                      : -static_cast<double>(choice.margin);
  }
  return costs;
}

std::vector<double> Program::value_costs(int priority) const {
  std::vector<double> costs(mip_.columns.size(), 0);
  for (std::size_t line = 0; line < values_.size(); ++line) {
    if (priorities_[line] == priority) {
      costs[choices_.size() + line] = -static_cast<double>(values_[line]);
    }
  }
  return costs;
}

void Program::hold(const std::vector<double>& costs, double most) {
  MipRow row;
  for (std::size_t column = 0; column < costs.size(); ++column) {
    if (costs[column] != 0) {
      row.columns.push_back(static_cast<int>(column));
      row.coefficients.push_back(costs[column]);
    }
  }
  row.lower = -kInfinity;
  row.upper = most;
  mip_.rows.push_back(std::move(row));
}

MipResult Program::least(const std::vector<double>& costs, const std::vector<double>& start,
                         const MipLimits& limits) {
  for (std::size_t column = 0; column < costs.size(); ++column) {
    mip_.columns[column].cost = costs[column];
  }
  return solve(mip_, start, limits);
}

}  // namespace flitchwise::solver
