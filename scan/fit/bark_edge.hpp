#pragma once
/// The bark's thickness where the scan shows it: as the dark ring round the sawn faces.

#include <optional>

#include "scan/fit/assemble.hpp"
#include "scan/model/species.hpp"

namespace flitchwise::scan {

/// A point of a sawn face: how far in from the outline it lies, around where, and how light it is.
struct RimPoint {
  double depth_m = 0;    ///< inwards from the bark's outline
  double theta_rad = 0;  ///< [0, 2 pi)
  double lightness = 0;  ///< [0, 255]
};

/// Thickness of the ring that is darker than the wood inside it, from both faces, an eighth of a face at a
/// time. Empty unless most eighths show a clear edge: scans without colour, weathered faces and shade show
/// none. sigma_m holds the spread round the log and what the edge is blurred by.
std::optional<BarkEstimate> bark_from_rims(const std::vector<RimPoint>& first_face,
                                           const std::vector<RimPoint>& last_face);

/// The same from the log's points and its fitted surface.
std::optional<BarkEstimate> measure_bark(const LogCloud& log_cloud, const FittedLog& fitted);

}  // namespace flitchwise::scan
