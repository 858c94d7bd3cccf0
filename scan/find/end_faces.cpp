#include "scan/find/end_faces.hpp"

#include <cmath>

namespace flitchwise::scan {
namespace {

constexpr double kOffPlaneM = 0.012;  // saw marks and scan noise, as for the plane itself
constexpr double kReach = 1.3;        // of the radius: a butt flares

}  // namespace

std::vector<EndFacePoint> end_face(const Cloud& in_scan, const EndPlane& end, double radius_m) {
  std::vector<EndFacePoint> face;
  if (!end.seen) {
    return face;
  }
  const bool coloured = in_scan.colours.size() == in_scan.size();
  const double reach_m = kReach * radius_m;
  for (std::size_t i = 0; i < in_scan.size(); ++i) {
    const Eigen::Vector3d off_m = in_scan.at(i) - end.point_m;
    if (std::abs(end.normal.dot(off_m)) < kOffPlaneM && off_m.squaredNorm() < reach_m * reach_m) {
      face.push_back({in_scan.at(i), coloured ? std::optional(in_scan.colours[i]) : std::nullopt});
    }
  }
  return face;
}

}  // namespace flitchwise::scan
