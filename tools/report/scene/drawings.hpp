#pragma once
/// The drawings of the sheet.

#include <vector>

#include "tools/report/report.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// A drawing of the sheet; `index` of the rail position or of the flitch layout.
struct Drawing {
  enum class Kind { roll, ends, rail, flitch };
  Kind kind = Kind::roll;
  std::size_t index = 0;
};

/// What it shows: both end faces, or one scene; none where the sheet has no such rail position.
std::vector<Scene> scenes_of(const Report& report, const Drawing& drawing);

}  // namespace flitchwise::report
