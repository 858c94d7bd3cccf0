#pragma once
/// What the usual rule of thumb gives, to set beside a searched plan.

#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// Sawing by eye, judged by the same wood and with the same care as a searched plan: the log stays as it
/// lies; the planes are parallel to the line between the middles of its ends, level across; the first one
/// lies where the small end's wood is just as wide as a board, so that the first flitch gives one; the others
/// follow below it, a board and a kerf apart. What each flitch then gives is edged as well as in any other
/// plan (its best yaw), and of several targets the one whose first flitch leads to the most value leads: the
/// rule gets the benefit of every doubt. Common practice, no source.
///
/// The answer is never proven best; its status is no_board_fits or log_too_short if the rule gives nothing.
/// Throws BadUse as `search` does.
SawPlan plan_by_eye(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options);

}  // namespace flitchwise::solver
