#pragma once
/// What is worked out beside a plan, within a given time.

#include <optional>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/advice/what_limits.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise {

/// Boards and what they are worth together.
struct Yield {
  int boards = 0;
  double value = 0;
};

/// The log cut in two before it is milled.
struct CrosscutAdvice {
  double x_m = 0;              ///< middle of the cut from the small end's innermost full section, log frame
  Yield yield;                 ///< of both pieces
  std::vector<int> of_pieces;  ///< boards, small end's piece first
  bool complete = false;       ///< every place was tried that should be
};

/// Empty parts were not asked for, or make no sense for this log.
struct Advice {
  std::optional<Yield> by_eye;
  std::optional<solver::WhatLimits> limits;
  std::optional<CrosscutAdvice> crosscut;
  double seconds = 0;  ///< that were given for limits and cross-cut
};

/// By eye always; what limits the plan and where a cross-cut would gain within `seconds`, which may be 0.
/// It ends by counted work; only where a machine is so slow that the time ends first the answer depends on
/// it. Requires: plan.status is ok and plan came from this log.
Advice advise(const LogModel& log, const solver::SawPlan& plan, double seconds);

}  // namespace flitchwise
