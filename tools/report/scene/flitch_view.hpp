#pragma once
/// A flitch or cant from above.

#include "tools/report/report.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// As it lay in the log: small end at the left, the log's left upwards; with its boards and edging lines, and
/// their distances from the left bark edge of the upper face where the boards begin and end.
Scene flitch_view(const Report& report, const solver::FlitchLayout& layout);

}  // namespace flitchwise::report
