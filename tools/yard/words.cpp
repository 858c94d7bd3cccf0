#include "tools/yard/words.hpp"

#include <cmath>

#include "tools/report/fact_words.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise::yard {

using report::counted;
using report::fixed;
using report::mm;

std::string state_words(YardLog::State state) {
  switch (state) {
    case YardLog::State::saw:
      return "saw";
    case YardLog::State::saved:
      return "keep";
    case YardLog::State::no_board_fits:
      return "no board fits";
    case YardLog::State::scan_will_not_do:
      return "scan will not do";
    case YardLog::State::unreadable:
      return "cannot be read";
    case YardLog::State::failed:
      return "failed";
    case YardLog::State::duplicate:
      return "same scan";
    case YardLog::State::not_planned:
      break;
  }
  return "not planned";
}

std::string message_words(const YardLog& log, const report::Hint& hint) {
  if (!log.message.empty() || !log.plans.message) {
    return log.message;
  }
  const Fact& fact = *log.plans.message;
  return report::with_hint(report::words(fact, report::Units::millimetres, {log.file}), fact, hint);
}

std::string boards_words(const solver::Order& order, const std::vector<int>& boards) {
  std::string words;
  for (std::size_t i = 0; i < boards.size(); ++i) {
    if (boards[i] > 0) {
      words += (words.empty() ? "" : ", ") + std::to_string(boards[i]) + " of " + order.lines[i].target.name;
    }
  }
  return words;
}

std::string missing_words(const solver::Order& order, const YardResult& result, std::size_t line) {
  for (const solver::Shortage& shortage : result.shortages) {
    if (shortage.line == line) {
      return shortage_words(order, shortage);
    }
  }
  const int missing = result.allocation.lines[line].short_by;
  return missing > 0 ? std::to_string(missing) + " more of " + order.lines[line].target.name : std::string();
}

std::string first_words(const CandidatePlan& plan) {
  std::string words;
  if (plan.cut_x_m > 0) {
    words = "cut in two " + mm(plan.cut_x_m) + " mm from the small end";
    for (std::size_t i = 0; i < plan.pieces.size(); ++i) {
      if (!plan.pieces[i]) {
        words += i == 0 ? ", keep the small end's piece" : ", keep the large end's piece";
      }
    }
  }
  return words;
}

std::string allocation_words(const solver::Allocation& allocation) {
  const std::size_t all = allocation.chosen.size();
  const std::size_t sawn = allocation.sawing_order.size();
  if (allocation.status == solver::Allocation::Status::nothing_needed) {
    return "Everything that was ordered is on hand; all " + counted(all, "log") + " are saved.";
  }
  std::size_t needed = 0;
  std::size_t missing = 0;
  for (const solver::LineResult& line : allocation.lines) {
    needed += static_cast<std::size_t>(line.needed);
    missing += static_cast<std::size_t>(line.short_by);
  }
  const std::string of_logs = std::to_string(sawn) + " of " + counted(all, "log");
  const std::string wood = ", " + fixed(allocation.wood_m3, 2) + " m3";
  if (missing == 0) {
    return "All " + counted(needed, "board") + " that are needed come from " + of_logs + wood + "; " +
           std::to_string(all - sawn) + (all - sawn == 1 ? " is" : " are") + " saved.";
  }
  return std::to_string(missing) + " of " + counted(needed, "board") + " that are needed are missing when " +
         of_logs + (sawn == 1 ? " is" : " are") + " sawn" + wood + ".";
}

std::string proof_words(const solver::Allocation& allocation) {
  if (allocation.time_ran_out) {
    return "The time ran out before the choice was proven: another run may find a better one.";
  }
  constexpr double kSame = 1e-6;  // what the program's arithmetic cannot tell from nothing
  constexpr double kPercent = 100;
  if (allocation.gap <= kSame) {
    return "Proven: of the plans that were found, no other choice does better.";
  }
  const double percent = std::ceil(allocation.gap * kPercent * kPercent) / kPercent;
  return "Of the plans that were found, no other choice can do better by more than " + fixed(percent, 2) +
         " %.";
}

std::string shortage_words(const solver::Order& order, const solver::Shortage& shortage) {
  const std::string more =
      std::to_string(shortage.boards) + " more of " + order.lines.at(shortage.line).target.name + ": ";
  if (shortage.logs == 0) {
    return more + "no straight log of up to " + mm(solver::kLargestLog_m) +
           " mm small end under bark gives one";
  }
  return more +
         (shortage.logs == 1 ? "a straight log of about "
                             : std::to_string(shortage.logs) + " straight logs of about ") +
         mm(shortage.small_end_diameter_m) + " mm small end under bark, " + mm(shortage.log_length_m) +
         " mm long, would do";
}

}  // namespace flitchwise::yard
