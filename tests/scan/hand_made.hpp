#pragma once
/// Logs made by hand for the tests of the fit: points exactly on a given surface, with the ends given
/// exactly, so that what the fit finds can be held against closed forms.

#include <Eigen/Geometry>
#include <functional>

#include "scan/find/isolate.hpp"

namespace flitchwise::testing {

/// A log along x, from x = 0 to its length, cut square to x. The radius is taken around `centre_m`, in planes
/// across x, at theta = atan2(z, y).
struct HandMadeLog {
  double length_m = 3;
  std::function<double(double x_m, double theta_rad)> radius_m;
  std::function<Eigen::Vector2d(double x_m)> centre_m = [](double) { return Eigen::Vector2d(0, 0); };
  /// Whether the scan shows this place.
  std::function<bool(double x_m, double theta_rad)> seen = [](double, double) { return true; };
  double spacing_m = 0.008;  ///< of the points
  Eigen::Isometry3d scan_from_log = Eigen::Isometry3d(Eigen::Translation3d(0.4, -0.3, 0.5));
  bool reversed = false;  ///< the track runs from the large x to the small x
};

HandMadeLog turned(double length_m, const std::function<double(double x_m)>& diameter_m);
/// As isolate would hand it to the fit, without any error.
scan::LogCloud log_cloud_of(const HandMadeLog& log);

}  // namespace flitchwise::testing
