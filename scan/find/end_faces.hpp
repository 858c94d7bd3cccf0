#pragma once
/// The points of the log's sawn faces.

#include "scan/find/isolate.hpp"

namespace flitchwise::scan {

/// Points of `in_scan` on the plane of a seen end and about as near to its middle as `radius_m`; none if the
/// end was not seen. `end` lies in the scan frame.
std::vector<EndFacePoint> end_face(const Cloud& in_scan, const EndPlane& end, double radius_m);

}  // namespace flitchwise::scan
