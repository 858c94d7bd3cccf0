#pragma once
/// The main job for a log that is cut in two before it is milled.

#include <optional>
#include <vector>

#include "tools/job/plan_log.hpp"

namespace flitchwise {

/// A log that is cut in two before it is milled.
struct PlannedPieces {
  PlannedLog whole;                   ///< as plan_log gives it, without advice
  std::optional<CrosscutAdvice> cut;  ///< empty: the scan will not do, or no place gives a board
  std::vector<PlannedLog> pieces;     ///< the small end's first; no_board_fits where one gives none
};

/// The same for the two pieces of the log at the best place for a cross-cut, each with its own plan and
/// setup, whether or not they give more than the whole.
PlannedPieces plan_pieces(const PlanRequest& request, const OnStage& on_stage = {});

}  // namespace flitchwise
