#pragma once
/// The centreline as a dense polyline along the log's x axis, and the frame that it hangs in.

#include <Eigen/Core>
#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/fit/surface_basis.hpp"
#include "scan/model/log_model.hpp"

namespace flitchwise::scan {

class Centreline {
 public:
  /// Values at even steps from `begin_m`; at least two.
  Centreline(double begin_m, double step_m, std::vector<Eigen::Vector2d> points_m);
  /// y and z at x; beyond the ends in the direction of the last stretch.
  Eigen::Vector2d at(double x_m) const;
  double begin_m() const { return begin_m_; }
  double end_m() const { return begin_m_ + step_m_ * static_cast<double>(points_m_.size() - 1); }

 private:
  double begin_m_;
  double step_m_;
  std::vector<Eigen::Vector2d> points_m_;
};

/// Right-handed frame with x from one point to another and z as near to scan-up as square to x allows.
LogFrame frame_between(const Eigen::Vector3d& small_end_in_scan_m,
                       const Eigen::Vector3d& large_end_in_scan_m);

/// A curve of the scan frame seen in a log frame, resampled at even x; `curve` ascends along x.
Centreline centreline_in(const LogFrame& frame, const std::vector<Eigen::Vector3d>& curve_in_scan_m);

/// The smooth spline nearest to a curve: coefficients of y and z, a row a spline of the basis.
Eigen::MatrixX2d spline_through(const Centreline& curve, const SurfaceBasis& basis);
/// The curve that such coefficients describe.
Centreline centreline_of(const Eigen::MatrixX2d& spline_m, const SurfaceBasis& basis);

}  // namespace flitchwise::scan
