#pragma once
/// How a plan's planes share the log's taper between the two outer jackets.

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// Slopes, rise a run, of the wood's upper and lower surface to the planes along the log (straight lines
/// fitted through all stations, so that a flared butt or a bump does not decide). Positive: that jacket
/// thickens towards the large end. Fibres near the surface follow it, so these are about the slopes of grain,
/// too, of the boards beside the jackets. Their sum is the log's taper in that direction.
struct TaperShare {
  double top_slope = 0;
  double bottom_slope = 0;
};

/// Throws BadUse unless the plan is ok and the log's model whole.
TaperShare taper_share(const LogModel& log, const SawPlan& plan);

}  // namespace flitchwise::solver
