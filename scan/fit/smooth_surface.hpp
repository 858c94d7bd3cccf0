#pragma once
/// The robust smooth surface through a log's points, with its uncertainty. See scan/FIT.md for the reasoning.

#include <Eigen/Core>
#include <vector>

#include "scan/fit/surface_prior.hpp"

namespace flitchwise::scan {

/// Sine of the angle down to which, 15 degrees below the middle, nothing but the log itself stands out: below
/// it grass and bearers may.
constexpr double kUpperSide = -0.25;

/// Points of one small patch of the surface, summed up.
struct Cell {
  double ring_x_m = 0;  ///< middle of the ring of cells around the log that it belongs to
  double theta_rad = 0;
  double radius_m = 0;  ///< median
  double count = 0;     ///< points
  double spread_m = 0;  ///< robust standard deviation within the cell
  int ix = 0;           ///< place in the grid of cells
  int itheta = 0;
};

/// The surface's radius somewhere, from something else than its points.
struct RimRadius {
  double x_m = 0;
  double theta_rad = 0;
  double radius_m = 0;
  double sigma_m = 0;
};

struct SmoothSurface {
  SurfaceBasis basis;
  SurfacePrior prior;
  Eigen::VectorXd coefficients;
  BlockTridiagonal covariance;
  std::vector<double> residuals_m;  ///< a cell: its radius less the surface
  std::vector<double> weights;      ///< a cell: 0 (an outlier) to 1
  double cell_sigma_m = 0;          ///< robust standard deviation of the cells around the surface
  double point_sigma_m = 0;         ///< the same of single points within their cell
  double correlation = 1;           ///< number of neighbouring cells that err together

  double radius_m(double x_m, double theta_rad) const {
    return basis.section(coefficients, x_m).dot(fourier_terms(theta_rad));
  }
  double mean_radius_m(double x_m) const { return basis.section(coefficients, x_m)[0]; }
};

/// What lies below a log, close to its lower side.
enum class Beneath {
  ground,  ///< ground, grass, bearers: they were taken away, but not all of them
  nothing  ///< as far as anyone knows
};

/// Fits the cells, which are in the order of their rings; `nx` and `ntheta` are the size of the grid that
/// they stand in (theta wraps around). `spline_m` is the centreline that radii are counted from, as
/// coefficients of y and z in the basis. `rims` count as far as they do not contradict what the cells lead
/// one to expect.
SmoothSurface fit_surface(const std::vector<Cell>& cells, const SurfaceBasis& basis, int nx, int ntheta,
                          const Eigen::MatrixX2d& spline_m, const std::vector<RimRadius>& rims = {},
                          Beneath beneath = Beneath::nothing);

}  // namespace flitchwise::scan
