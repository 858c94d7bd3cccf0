#pragma once
/// Knots that hold too few points to stand out cell by cell.

#include <vector>

#include "scan/fit/knots.hpp"

namespace flitchwise::scan {

/// Adds knots that a look for bumps of their shape finds over the bark's own scatter: on coarse scans a knot
/// holds too few points to stand out cell by cell. On the lower side only where plain bark lies all round.
void add_broad_knots(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
                     std::vector<Knot>& knots);

}  // namespace flitchwise::scan
