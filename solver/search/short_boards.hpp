#pragma once
/// Shorter boards out of what a plan's full-length boards leave.

#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// Fills in `plan.short_boards` with boards of the targets' thicknesses and widths and of the lengths in
/// `plan.options.short_lengths_m`; nothing else of the plan changes, so no full-length board is lost. They
/// come from
/// - the jackets: layers sawn off outwards from the sawn face, each edged with its own yaw;
/// - the flitches' edges beside the boards of a length window, along the same chalk line, a kerf away;
/// - the flitches' ends beyond their boards, crosscut off and edged by themselves; flitches without boards.
/// Worth is the target's value by length; of each piece the chain of boards that is worth most is taken,
/// places along the log 25 mm apart (coarser in logs longer than 6 m). They keep inside the planning surface,
/// keep the kerfs to the full-length boards and each other, and hold to the limits for pith and grain.
/// Deterministic. Throws BadUse unless plan.status is ok and check_short_lengths passes.
void add_short_boards(const LogModel& log, SawPlan& plan);

/// Throws BadUse that names the length, if one is out of range or not shorter than every target.
void check_short_lengths(const std::vector<Target>& targets, const SearchOptions& options);

}  // namespace flitchwise::solver
