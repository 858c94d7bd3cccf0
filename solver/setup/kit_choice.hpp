#pragma once
/// A plan that the person's own kit can open and saw.

#include <optional>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/kit.hpp"
#include "solver/setup/setup_facts.hpp"

namespace flitchwise::solver {

/// Whether a kit can open a plan's stack and saw it: the rail finds wood for every screw above the cut and
/// stays clear of the bark, the saw is deep enough, and the bar spans the opening cut and every level cut
/// after it.
bool can_be_sawn(const LogModel& log, const SawPlan& plan, const Kit& kit);

struct KitChoice {
  SawPlan plan;
  bool can_be_sawn = false;       ///< `plan`, with this kit
  std::optional<KitCosts> costs;  ///< empty if the kit can saw the best stack
};

/// `best` itself if the kit can saw it; else the best plan that it can, looked for at rolls all round (or
/// those that are allowed) within `seconds`; else `best` again. The proof of another plan still speaks of
/// `best`'s bound. Requires: best.status is ok and it came from this log.
KitChoice choose_for_kit(const LogModel& log, SawPlan best, const Kit& kit, double seconds);

}  // namespace flitchwise::solver
