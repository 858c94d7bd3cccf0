#include "tools/report/report.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "scan/model/errors.hpp"

namespace flitchwise::report {

void check(const Report& report) {
  require(report.plan.status == solver::SawPlan::Status::ok, "only a plan with boards can be reported");
  require(report.sheet.opening_plane < report.plan.planes.size(),
          "the setup sheet opens with plane " + std::to_string(report.sheet.opening_plane) +
              ", but the plan has " + std::to_string(report.plan.planes.size()));
  const std::string error = report.log.find_error();
  require(error.empty(), "the log model is broken: " + error);
}

Eigen::Vector3d to_bench(const Report& report, const Eigen::Vector3d& in_log_m) {
  return Eigen::AngleAxisd(report.sheet.roll_rad, Eigen::Vector3d::UnitX()) * in_log_m;
}

double height_at(const Report& report, const solver::CutPlane& plane, double x_m) {
  const Eigen::Vector3d point = to_bench(report, plane.point_m);
  const Eigen::Vector3d normal = to_bench(report, plane.normal);
  // normal . ((x, 0, z) - point) = 0
  return point.z() + (normal.y() * point.y() - normal.x() * (x_m - point.x())) / normal.z();
}

std::vector<solver::CutPlane> later_planes(const Report& report) {
  std::vector<solver::CutPlane> planes = report.plan.planes;
  if (report.sheet.extra_cut_m == 0) {
    planes.erase(planes.begin() + static_cast<std::ptrdiff_t>(report.sheet.opening_plane));
  }
  return planes;
}

const solver::Cut* opening_cut(const solver::SetupSheet& sheet) {
  const auto at = std::find_if(sheet.cuts.begin(), sheet.cuts.end(),
                               [](const solver::Cut& cut) { return cut.kind == solver::Cut::Kind::opening; });
  return at == sheet.cuts.end() ? nullptr : &*at;
}

}  // namespace flitchwise::report
