#pragma once
/// A small picture of what a plan makes of a log.

#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::yard {

/// A section of the log as it lies when it is sawn, at the middle or a quarter of its length, with the boards
/// there: an SVG element
/// whose parts have the classes bark, wood and board. Millimetres. Requires: plan.status is ok and it
/// came from this log.
std::string thumbnail(const LogModel& log, const solver::SawPlan& plan);

}  // namespace flitchwise::yard
