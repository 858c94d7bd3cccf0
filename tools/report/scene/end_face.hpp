#pragma once
/// End faces, as someone sees them who stands before them.

#include "tools/report/report.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// One end of a log that is not planned, as it lies: bark, wood, pith.
Scene end_face(const LogModel& log, bool large_end);

/// One end of the rolled log with its boards, cuts and rail, and every mark measured.
Scene end_face_with_marks(const Report& report, bool large_end);

/// The small end, rolled: what was level before, and where the top went.
Scene roll_marks(const Report& report);

}  // namespace flitchwise::report
