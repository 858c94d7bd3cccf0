#include "plan/plan_log.hpp"

#include "flitchwise/solver/search.hpp"
#include "plan/advise.hpp"

namespace flitchwise {
namespace {

solver::Kit kit_of(const PlanRequest& request) {
  solver::Kit kit = request.kit ? solver::read_kit(*request.kit) : solver::plain_kit();
  if (request.kerf_m) {
    kit.kerf_m = *request.kerf_m;
  }
  return kit;
}

solver::SearchOptions search_options(const PlanRequest& request, const solver::Kit& kit) {
  solver::SearchOptions options = request.search;
  options.kerf_m = options.rip_kerf_m = options.crosscut_kerf_m = kit.kerf_m;
  return options;
}

PlannedLog ended(PlannedLog result, PlannedLog::Outcome outcome, const std::string& message) {
  result.outcome = outcome;
  result.message = message;
  return result;
}

}  // namespace

PlannedLog plan_log(const PlanRequest& request, const OnStage& on_stage) {
  const auto stage = [&](std::string_view name) { on_stage ? on_stage(name) : void(); };
  const solver::Kit kit = kit_of(request);
  const solver::SearchOptions options = search_options(request, kit);
  solver::check(request.targets);
  solver::check(options);

  ModelledLog modelled = model_log(request.scan, on_stage);
  PlannedLog result;
  result.scan = std::move(modelled.scan);
  if (modelled.outcome != ModelledLog::Outcome::done) {
    return ended(std::move(result), PlannedLog::Outcome::scan_will_not_do, modelled.message);
  }
  result.log = std::move(modelled.log);
  result.warnings = std::move(modelled.warnings);
  result.warnings.insert(result.warnings.end(), request.setup.notes.begin(), request.setup.notes.end());
  const std::vector<std::string> unmeasured = set_pith(result.log, request.setup.pith);
  result.warnings.insert(result.warnings.end(), unmeasured.begin(), unmeasured.end());

  stage("searching the best cuts");
  result.plan = solver::search(result.log, request.targets, options);
  if (result.plan.status != solver::SawPlan::Status::ok) {
    const std::string why = result.plan.message;
    return ended(std::move(result), PlannedLog::Outcome::no_board_fits, why);
  }

  stage("setting up the rail");
  result.tolerance = solver::height_tolerance(result.log, result.plan);
  result.sheet = solver::set_up(result.log, result.plan, kit, result.tolerance);

  stage("looking for what would give one more board");
  result.advice = advise(result.log, result.plan, request.advice_time_s);
  result.outcome = PlannedLog::Outcome::done;
  return result;
}

}  // namespace flitchwise
