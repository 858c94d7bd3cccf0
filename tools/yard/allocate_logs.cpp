#include "tools/yard/allocate_logs.hpp"

#include "solver/allocate/shortages.hpp"
#include "tools/job/plan_log.hpp"

namespace flitchwise::yard {
namespace {

/// The yard's own bookkeeping hands on to the allocation only what it weighs.
solver::YardLog candidates_of(const YardLog& log) {
  solver::YardLog answer;
  answer.name = log.name;
  for (const CandidatePlan& plan : log.plans.candidates) {
    answer.candidates.push_back({plan.boards, plan.wood_m3, plan.rolls, plan.margin_m});
  }
  return answer;
}

/// The search as the logs were planned, with the kit's kerf.
solver::SearchOptions search_of(const YardRequest& request) {
  PlanRequest plan;
  plan.search = request.search;
  plan.kit = request.kit;
  plan.kerf_m = request.kerf_m;
  return search_options(plan, kit_of(plan));
}

}  // namespace

void allocate_logs(const YardRequest& request, YardResult& result) {
  std::vector<solver::YardLog> logs;
  std::vector<std::size_t> places;  // of each in result.logs
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    if (result.logs[i].state == YardLog::State::saved) {
      logs.push_back(candidates_of(result.logs[i]));
      places.push_back(i);
    }
  }
  result.allocation = solver::allocate(request.order, logs);
  result.allocated = true;
  for (std::size_t i = 0; i < logs.size(); ++i) {
    if (result.allocation.chosen[i] != solver::Allocation::kSaved) {
      result.logs[places[i]].state = YardLog::State::saw;
      result.logs[places[i]].chosen = static_cast<std::size_t>(result.allocation.chosen[i]);
    }
  }
  int turn = 0;
  for (const std::size_t i : result.allocation.sawing_order) {
    result.logs[places[i]].saw_as = ++turn;
  }
  result.shortages = solver::shortages(request.order, result.allocation, search_of(request));
}

}  // namespace flitchwise::yard
