#pragma once
/// Checks of plans that share no code with the solver: they look only at corners, planes and outlines.

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::test {

/// How far any board sticks out of the planning outlines at the stations, in metres; 0 if none does. Ends of
/// boards beyond [0, usable length] count, too.
double worst_overhang_m(const LogModel& log, const solver::SawPlan& plan);

/// Least gap between any two boards, by the separating axes of two boxes; negative if two overlap.
double least_gap_m(const solver::SawPlan& plan);

/// Least distance of a board's corner from the planes of its own flitch, on the inner side.
double least_plane_distance_m(const solver::SawPlan& plan);

/// Largest deviation of a board's edges from the target's size, and of its angles from right ones (as a
/// length).
double worst_size_error_m(const solver::SawPlan& plan);

}  // namespace flitchwise::test
