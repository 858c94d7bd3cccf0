#include "tools/job/plan_log.hpp"

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "solver/search/short_boards.hpp"
#include "solver/search/tolerance.hpp"
#include "solver/setup/kit_choice.hpp"
#include "solver/setup/kit_file.hpp"
#include "tools/job/advise.hpp"

namespace flitchwise {
namespace {

PlannedLog ended(PlannedLog result, PlannedLog::Outcome outcome, const Fact& why) {
  result.outcome = outcome;
  result.message = why;
  return result;
}

/// Scan file to log model, ready to be planned.
PlannedLog modelled(const PlanRequest& request, const OnStage& on_stage) {
  ModelledLog model = model_log(request.scan, on_stage);
  PlannedLog result;
  result.scan = std::move(model.scan);
  if (model.outcome != ModelledLog::Outcome::done) {
    return ended(std::move(result), PlannedLog::Outcome::scan_will_not_do, model.message.value());
  }
  result.outcome = PlannedLog::Outcome::done;
  result.log = std::move(model.log);
  result.points = std::move(model.points);
  result.warnings = std::move(model.warnings);
  result.warnings.insert(result.warnings.end(), request.notes.begin(), request.notes.end());
  const std::vector<PithNotMeasured> unmeasured = set_pith(result.log, request.pith);
  result.warnings.insert(result.warnings.end(), unmeasured.begin(), unmeasured.end());
  return result;
}

/// Takes the best plan that the kit can saw, and says what that costs.
void fit_to_kit(PlannedLog& result, const solver::Kit& kit, double seconds) {
  if (result.plan.status != solver::SawPlan::Status::ok) {
    return;
  }
  solver::KitChoice choice = solver::choose_for_kit(result.log, std::move(result.plan), kit, seconds);
  result.plan = std::move(choice.plan);
  result.kit_costs = choice.costs;
}

}  // namespace

solver::Kit kit_of(const PlanRequest& request) {
  check_limits(request);
  solver::Kit kit = request.kit.value_or(solver::plain_kit());
  kit.kerf_m = request.kerf_m.value_or(kit.kerf_m);
  const std::string error = solver::find_error(kit);
  require(error.empty(), error);
  return kit;
}

solver::SearchOptions search_options(const PlanRequest& request, const solver::Kit& kit) {
  solver::SearchOptions options = request.search;
  options.kerf_m = options.rip_kerf_m = options.crosscut_kerf_m = kit.kerf_m;
  return options;
}

PlannedLog with_setup(PlannedLog result, const solver::Kit& kit) {
  if (result.plan.status != solver::SawPlan::Status::ok) {
    return ended(std::move(result), PlannedLog::Outcome::no_board_fits, {});
  }
  solver::add_short_boards(result.log, result.plan);
  result.tolerance = solver::height_tolerance(result.log, result.plan);
  result.sheet = solver::set_up(result.log, result.plan, kit, result.tolerance);
  result.outcome = PlannedLog::Outcome::done;
  return result;
}

PlannedLog plan_log(const PlanRequest& request, const OnStage& on_stage) {
  const auto begin = [&](Stage stage) { on_stage ? on_stage({stage}) : void(); };
  const solver::Kit kit = kit_of(request);
  const solver::SearchOptions options = search_options(request, kit);
  solver::check(request.targets);
  solver::check(options);
  solver::check_short_lengths(request.targets, options);

  PlannedLog result = modelled(request, on_stage);
  if (result.outcome != PlannedLog::Outcome::done) {
    return result;
  }
  begin(Stage::searching);
  result.plan = solver::search(result.log, request.targets, options);
  begin(Stage::setting_up);
  if (request.kit) {
    fit_to_kit(result, kit, options.time_limit_s);
  }
  result = with_setup(std::move(result), kit);
  if (result.outcome == PlannedLog::Outcome::done) {
    begin(Stage::advising);
    result.advice = advise(result.log, result.plan, request.advice_time_s);
  }
  return result;
}

}  // namespace flitchwise
