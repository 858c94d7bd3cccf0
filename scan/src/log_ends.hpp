#pragma once
/// End faces: the saw cuts that bound a log.

#include "flitchwise/scan/cloud.hpp"
#include "track.hpp"

namespace flitchwise::scan {

struct LogEnds {
  EndPlane first;  ///< beside the track's first point; same frame as the points
  EndPlane last;
};

/// Finds both end planes from the points inside the track's outline around its ends. An end without a face is
/// set square to the track where the surface stops, and marked as not seen.
LogEnds find_ends(const Points& points_m, const TrackFrame& frame);

}  // namespace flitchwise::scan
