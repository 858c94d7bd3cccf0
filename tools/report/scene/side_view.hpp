#pragma once
/// The log from its right side, small end at the left.

#include "tools/report/report.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// With the rail in one of its positions (from 0), its supports and the cuts; `heights` are drawn this much
/// larger than lengths. A position that the sheet does not have: the log and its cuts alone.
Scene side_view(const Report& report, std::size_t position, double heights);

}  // namespace flitchwise::report
