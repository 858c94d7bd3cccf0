#include "tools/yard/tables.hpp"

#include <algorithm>
#include <numeric>

#include "solver/allocate/shortages.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/yard/words.hpp"

namespace flitchwise::yard {
namespace {

using report::fixed;
using report::mm;

constexpr int kWoodDigits = 3;  // m3 to the litre
constexpr int kMarginDigits = 1;
constexpr std::size_t kPlanFields = 6;  // of a plan after its boards, and of a log's shape
constexpr std::size_t kShapeFields = 5;

std::string line_of(const std::vector<std::string>& fields) {
  std::string line;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    line.append(i == 0 ? "" : ",").append(csv_field(fields[i]));
  }
  return line + "\n";
}

bool has_shape(const YardLog& log) {
  return log.plans.length_m > 0;
}

std::string place(int turn) {
  return turn > 0 ? std::to_string(turn) : "";
}

/// Names of the logs that give boards of a line, in the order of sawing.
std::string logs_for(const YardResult& result, std::size_t line) {
  std::string names;
  for (const std::size_t i : in_order(result)) {
    const CandidatePlan* plan = chosen_plan(result.logs[i]);
    if (plan != nullptr && plan->boards[line] > 0) {
      names += (names.empty() ? "" : " ") + result.logs[i].name;
    }
  }
  return names;
}

}  // namespace

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) {
    return text;
  }
  std::string quoted = "\"";
  for (const char letter : text) {
    quoted += letter == '"' ? "\"\"" : std::string(1, letter);
  }
  return quoted + "\"";
}

const CandidatePlan* chosen_plan(const YardLog& log) {
  return log.state == YardLog::State::saw ? &log.plans.candidates.at(log.chosen) : nullptr;
}

std::vector<std::size_t> in_order(const YardResult& result) {
  std::vector<std::size_t> order(result.logs.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto rank = [&](std::size_t i) {
    const YardLog& log = result.logs[i];
    const int group = log.state == YardLog::State::saw ? 0 : log.state == YardLog::State::saved ? 1 : 2;
    return std::pair(group, log.saw_as);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
  return order;
}

std::string yard_csv(const solver::Order& order, const YardResult& result) {
  std::vector<std::string> header = {"log", "file", "state", "saw_as", "becomes"};
  for (const solver::OrderLine& line : order.lines) {
    header.push_back(line.target.name);
  }
  header.insert(header.end(), {"value", "wood_m3", "margin_mm", "rolls", "first", "looked_for", "length_mm",
                               "small_end_mm", "large_end_mm", "log_m3", "weight_kg", "plan", "message"});
  std::string text = line_of(header);
  for (const YardLog& log : result.logs) {
    std::vector<std::string> fields = {log.name, log.file, state_words(log.state), place(log.saw_as)};
    const CandidatePlan* plan = chosen_plan(log);
    if (plan == nullptr) {
      fields.resize(fields.size() + 1 + order.lines.size() + kPlanFields);
    } else {
      fields.push_back(boards_words(order, plan->boards));
      for (const int count : plan->boards) {
        fields.push_back(std::to_string(count));
      }
      fields.insert(fields.end(), {fixed(plan->value, 2), fixed(plan->wood_m3, kWoodDigits),
                                   mm(plan->margin_m, kMarginDigits), std::to_string(plan->rolls),
                                   first_words(*plan), plan->wish});
    }
    if (has_shape(log)) {
      fields.insert(fields.end(), {mm(log.plans.length_m), mm(log.plans.small_end_diameter_m),
                                   mm(log.plans.large_end_diameter_m),
                                   fixed(log.plans.volume_m3, kWoodDigits), fixed(log.plans.weight_kg, 0)});
    } else {
      fields.resize(fields.size() + kShapeFields);
    }
    fields.push_back(log.plan_folder.string());
    fields.push_back(message_words(log));
    text += line_of(fields);
  }
  return text;
}

std::string coverage_csv(const solver::Order& order, const YardResult& result) {
  std::string text = line_of({"target", "priority", "due", "ordered", "on_hand", "needed", "made", "short",
                              "over", "logs", "what_is_missing"});
  for (std::size_t i = 0; i < order.lines.size(); ++i) {
    const solver::OrderLine& line = order.lines[i];
    const solver::LineResult& got = result.allocation.lines[i];
    text += line_of({line.target.name, std::to_string(line.priority), line.due, std::to_string(line.quantity),
                     std::to_string(line.on_hand), std::to_string(got.needed), std::to_string(got.made),
                     std::to_string(got.short_by), std::to_string(got.over), logs_for(result, i),
                     missing_words(order, result, i)});
  }
  return text;
}

std::string loads_csv(const YardResult& result) {
  std::string text = line_of({"log", "what", "saw_as", "length_mm", "small_end_mm", "large_end_mm", "log_m3",
                              "density_kg_m3", "density_from", "weight_kg", "weight_so_far_kg"});
  double so_far_kg = 0;
  for (const std::size_t i : in_order(result)) {
    const YardLog& log = result.logs[i];
    if (!has_shape(log)) {
      continue;
    }
    so_far_kg += log.plans.weight_kg;
    text += line_of({log.name, state_words(log.state), place(log.saw_as), mm(log.plans.length_m),
                     mm(log.plans.small_end_diameter_m), mm(log.plans.large_end_diameter_m),
                     fixed(log.plans.volume_m3, kWoodDigits), fixed(log.plans.density_kg_m3, 0),
                     report::words(log.plans.density_source), fixed(log.plans.weight_kg, 0),
                     fixed(so_far_kg, 0)});
  }
  return text;
}

}  // namespace flitchwise::yard
