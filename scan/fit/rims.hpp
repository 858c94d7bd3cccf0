#pragma once
/// The outline of the sawn faces. They show the log from below, too, where the walk round it saw no bark.

#include <vector>

#include "scan/fit/assemble.hpp"

namespace flitchwise::scan {

/// The radius of the bark at the faces' rims, an angle each, less what the rims are off the bark where both
/// were seen. None from a face whose rim does not follow the bark there. `centreline` in `frame` is what the
/// radii are measured from; `before` is the fit of the round before.
std::vector<RimRadius> rim_radii(const LogCloud& log_cloud, const LogFrame& frame,
                                 const Centreline& centreline, const FittedLog& before);

}  // namespace flitchwise::scan
