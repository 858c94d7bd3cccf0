#include "plan/plan_log.hpp"

#include "flitchwise/scan/fit.hpp"
#include "flitchwise/scan/read.hpp"
#include "flitchwise/solver/search.hpp"
#include "plan/find_log.hpp"
#include "plan/scan_warnings.hpp"

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

scan::FitOptions fit_options(const PlanRequest& request) {
  scan::FitOptions options;
  options.bark_m = request.bark_m;
  options.species = request.species;
  return options;
}

PlannedLog will_not_do(PlannedLog result, const std::string& message) {
  result.outcome = PlannedLog::Outcome::scan_will_not_do;
  result.message = message;
  return result;
}

}  // namespace

PlannedLog plan_log(const PlanRequest& request, const OnStage& on_stage) {
  const auto stage = [&](std::string_view name) { on_stage ? on_stage(name) : void(); };
  PlannedLog result;
  const solver::Kit kit = kit_of(request);
  const solver::SearchOptions options = search_options(request, kit);
  solver::check(request.target);
  solver::check(options);

  stage("reading the scan");
  const scan::ReadResult file = scan::read(request.scan);

  stage("finding the log");
  const FoundLog found = find_log(file.cloud, request);
  result.scan = {request.scan.string(), file.points_read, found.oriented.scale, found.oriented.scale_source,
                 found.oriented.up_source};
  if (found.log_cloud.status != scan::LogCloud::Status::ok) {
    return will_not_do(std::move(result), found.log_cloud.message);
  }

  stage("fitting its shape");
  scan::FitResult fitted = scan::fit(found.log_cloud, fit_options(request));
  if (fitted.status != scan::FitResult::Status::ok) {
    return will_not_do(std::move(result), fitted.message);
  }
  if (const std::string reason = why_unusable(fitted.log); !reason.empty()) {
    return will_not_do(std::move(result), reason);
  }
  result.log = std::move(fitted.log);
  result.warnings = scan_warnings(request, file, found, result.log, fitted.warnings);

  stage("searching the best cuts");
  result.plan = solver::search(result.log, request.target, options);
  if (result.plan.status != solver::SawPlan::Status::ok) {
    result.outcome = PlannedLog::Outcome::no_board_fits;
    result.message = result.plan.message;
    return result;
  }

  stage("setting up the rail");
  result.tolerance = solver::height_tolerance(result.log, result.plan);
  result.sheet = solver::set_up(result.log, result.plan, kit, result.tolerance);
  result.outcome = PlannedLog::Outcome::done;
  return result;
}

}  // namespace flitchwise
