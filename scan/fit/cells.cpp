#include "scan/fit/cells.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kRadialNormal = 0.6;  // cosine; rough bark tilts a normal by up to 50 degrees

}  // namespace

std::vector<SurfacePoint> unroll(const LogCloud& log_cloud, const LogFrame& frame,
                                 const Centreline& centreline, Points which) {
  std::vector<SurfacePoint> points;
  for (std::size_t i = 0; i < log_cloud.surface_m.size(); ++i) {
    const Eigen::Vector3d p = frame.to_log(log_cloud.surface_m[i]);
    const Eigen::Vector2d d = p.tail<2>() - centreline.at(p.x());
    const double radius_m = d.norm();
    const Eigen::Vector3d normal = frame.scan_from_log.transpose() * log_cloud.surface_normals[i];
    const bool unknown = which == Points::all || normal.squaredNorm() < 0.5;
    if (radius_m > 0 && (unknown || std::abs(normal.tail<2>().dot(d)) > kRadialNormal * radius_m)) {
      const double theta = std::atan2(d.y(), d.x());
      points.push_back({p.x(), theta < 0 ? theta + 2 * pi : theta, radius_m});
    }
  }
  return points;
}

CellGrid gather(const std::vector<SurfacePoint>& points, double begin_m, double end_m, double step_m,
                int ntheta) {
  CellGrid grid;
  grid.begin_m = begin_m;
  grid.nx = std::max(1, static_cast<int>(std::lround((end_m - begin_m) / step_m)));
  grid.step_m = (end_m - begin_m) / grid.nx;
  grid.ntheta = ntheta;
  std::vector<std::vector<const SurfacePoint*>> members(static_cast<std::size_t>(grid.nx * ntheta));
  for (const SurfacePoint& p : points) {
    const int ix = static_cast<int>(std::floor((p.x_m - begin_m) / grid.step_m));
    const int itheta = std::min(ntheta - 1, static_cast<int>(p.theta_rad / (2 * pi) * ntheta));
    if (ix >= 0 && ix < grid.nx) {
      members[static_cast<std::size_t>(ix * ntheta + itheta)].push_back(&p);
    }
  }
  for (std::size_t k = 0; k < members.size(); ++k) {
    if (members[k].empty()) {
      continue;
    }
    Cell cell;
    cell.ix = static_cast<int>(k) / ntheta;
    cell.itheta = static_cast<int>(k) % ntheta;
    cell.ring_x_m = begin_m + (cell.ix + 0.5) * grid.step_m;
    cell.count = static_cast<double>(members[k].size());
    std::vector<double> radii;
    for (const SurfacePoint* p : members[k]) {
      radii.push_back(p->radius_m);
      cell.theta_rad += p->theta_rad / cell.count;
    }
    cell.radius_m = even_median(radii);
    for (double& r : radii) {
      r = std::abs(r - cell.radius_m);
    }
    cell.spread_m = kMadToSigma * even_median(std::move(radii));
    grid.cells.push_back(cell);
  }
  return grid;
}

}  // namespace flitchwise::scan
