#pragma once
/// The search for the plane of the first cut: see solver/SEARCH.md for the reduction and the bound.

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// The plan whose full-length boards of `targets` are worth most (are most, if all are worth the same); among
/// those the one with the largest margin. Deterministic for a given input whatever the thread count, unless
/// the time limit ends the proof. Throws BadUse if targets or options are out of range or the model is
/// broken.
SawPlan search(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options = {});

/// The boards of one given orientation whose topmost plane lies where it says: the best stack below it, each
/// flitch with its best yaw. With a cant in the pattern: at most one, as in every plan.
SawPlan plan_at(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options,
                const Orientation& orientation);

/// See HeightTolerance. Takes at most a fifth of the plan's time limit, then says how far it was found to
/// hold by then, which is never less than its margin. Requires: plan.status is ok and plan came from this
/// log.
HeightTolerance height_tolerance(const LogModel& log, const SawPlan& plan);

}  // namespace flitchwise::solver
