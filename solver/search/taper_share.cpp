#include "solver/search/taper_share.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/errors.hpp"

namespace flitchwise::solver {
namespace {

/// Least squares through (x, z).
class LineFit {
 public:
  void add(double x, double z) {
    ++n_;
    sum_x_ += x;
    sum_z_ += z;
    sum_xx_ += x * x;
    sum_xz_ += x * z;
  }
  double slope() const {
    return (n_ * sum_xz_ - sum_x_ * sum_z_) / (n_ * sum_xx_ - sum_x_ * sum_x_);  // stations differ in x
  }

 private:
  double n_ = 0;
  double sum_x_ = 0;
  double sum_z_ = 0;
  double sum_xx_ = 0;
  double sum_xz_ = 0;
};

}  // namespace

TaperShare taper_share(const LogModel& log, const SawPlan& plan) {
  require(plan.status == SawPlan::Status::ok, "only a plan with boards shares the taper");
  check(log);
  const double c = std::cos(plan.orientation.roll_rad);
  const double s = std::sin(plan.orientation.roll_rad);
  LineFit top;
  LineFit bottom;
  for (const Station& station : log.stations) {
    const Eigen::MatrixX2d outline_m = planning_outline_m(station, 0);
    const Eigen::VectorXd z_m = s * outline_m.col(0) + c * outline_m.col(1);  // bench frame
    top.add(station.x_m, z_m.maxCoeff());
    bottom.add(station.x_m, z_m.minCoeff());
  }
  return {top.slope() - plan.orientation.pitch, plan.orientation.pitch - bottom.slope()};
}

}  // namespace flitchwise::solver
