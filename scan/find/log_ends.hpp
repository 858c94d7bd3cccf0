#pragma once
/// End faces: the saw cuts that bound a log.

#include <vector>

#include "scan/find/track.hpp"
#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

struct LogEnds {
  EndPlane first;  ///< beside the track's first point; same frame as the points
  EndPlane last;
};

/// Finds both end planes from the points inside the track's outline around its ends. An end without a face is
/// set square to the track where the surface stops, and marked as not seen.
LogEnds find_ends(const Points& points_m, const TrackFrame& frame);

/// Cuts a walked track where it runs on past a sawn face to something behind it: a stump, a block, the next
/// log. The pieces of three points and more, in order; the track itself if there is no such face.
std::vector<std::vector<TrackPoint>> cut_at_faces(const std::vector<TrackPoint>& track, const Scene& scene,
                                                  const Points& points_m);

/// Points of `in_scan` on the plane of a seen end and about as near to its middle as `radius_m`; none if the
/// end was not seen. `end` lies in the scan frame.
std::vector<EndFacePoint> end_face(const Cloud& in_scan, const EndPlane& end, double radius_m);

}  // namespace flitchwise::scan
