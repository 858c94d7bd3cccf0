#pragma once
/// The main job from end to end: scan file in, plan and setup out.

#include <optional>
#include <vector>

#include "scan/model/limits.hpp"
#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/kit.hpp"
#include "solver/setup/setup.hpp"
#include "tools/job/advise.hpp"
#include "tools/job/model_log.hpp"
#include "tools/job/pith.hpp"

namespace flitchwise {

/// What the person asks for. Lengths in metres.
struct PlanRequest {
  ScanRequest scan;
  std::vector<solver::Target> targets;
  solver::SearchOptions search;  ///< its kerfs come from the kit unless `kerf_m` is given
  std::optional<double> kerf_m;
  std::optional<solver::Kit> kit;  ///< empty: the plain kit, which is no reason to give up boards
  PithByTape pith;
  std::vector<Fact> notes;    ///< for the plan's warnings: how its sizes were worked out
  double advice_time_s = 30;  ///< for what limits the plan and would gain a board; [0, 3600]
};
FLITCHWISE_FIELDS(PlanRequest, scan, targets, search, kerf_m, kit, pith, notes, advice_time_s)
constexpr auto limits_of(const PlanRequest*) {
  return std::tuple{Limit{&PlanRequest::kerf_m, {0, 0.05}}, Limit{&PlanRequest::advice_time_s, {0, 3600}}};
}

struct PlannedLog {
  enum class Outcome { done, scan_will_not_do, no_board_fits };
  Outcome outcome = Outcome::scan_will_not_do;
  std::optional<Fact> message;  ///< why the scan will not do; of a log that gives no board the plan tells
  ScanInfo scan;
  LogModel log;                               ///< valid unless the scan will not do
  SeenPoints points;                          ///< valid unless the scan will not do
  solver::SawPlan plan;                       ///< valid if done
  solver::HeightTolerance tolerance;          ///< valid if done
  solver::SetupSheet sheet;                   ///< valid if done
  std::optional<solver::KitCosts> kit_costs;  ///< what the kit costs
  Advice advice;                              ///< valid if done
  std::vector<Fact> warnings;  ///< of the scan and the fit, the gravest first; the sheet has its own
};

/// Reads, isolates, fits, searches and sets up. Throws InputError for a file that cannot be read and BadUse
/// for a request that is out of range; anything that the scan cannot support is an outcome with a message.
PlannedLog plan_log(const PlanRequest& request, const OnStage& on_stage = {});

// Its stages, for other pipelines.
/// The kit asked for, with the kerf asked for.
solver::Kit kit_of(const PlanRequest& request);
/// The search asked for, with the kit's kerfs.
solver::SearchOptions search_options(const PlanRequest& request, const solver::Kit& kit);
/// From plan to setup: `result` with its log and plan comes back with the rest, or with no_board_fits.
PlannedLog with_setup(PlannedLog result, const solver::Kit& kit);

}  // namespace flitchwise
