#include "tools/yard/thumbnail.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "scan/model/units.hpp"

namespace flitchwise::yard {
namespace {

constexpr int kOutlinePoints = 60;  // a picture of a thumb's size shows no more
constexpr int kCornersAnEnd = 4;

/// From the log frame to the picture: as seen from the small end, left is left and up is up.
class View {
 public:
  View(double roll_rad, const Eigen::Vector2d& centre_m) : turn_(roll_rad), centre_m_(centre_m) {}
  std::string at(const Eigen::Vector2d& in_log_m) const {
    const Eigen::Vector2d p = turn_ * (in_log_m - centre_m_);
    return std::to_string(-std::lround(p.x() * kMmAMetre)) + " " +
           std::to_string(-std::lround(p.y() * kMmAMetre));
  }

 private:
  Eigen::Rotation2Dd turn_;
  Eigen::Vector2d centre_m_;
};

std::string outline(const Station& section, const Eigen::VectorXd& radii_m, const View& view,
                    const std::string& name) {
  std::string path;
  const auto count = static_cast<int>(radii_m.size());
  for (int i = 0; i < kOutlinePoints; ++i) {
    const int k = i * count / kOutlinePoints;
    const double theta = 2 * std::numbers::pi * k / count;
    const Eigen::Vector2d p =
        section.centre_m + radii_m[k] * Eigen::Vector2d(std::cos(theta), std::sin(theta));
    path += (i == 0 ? "M" : " ") + view.at(p);
  }
  return "<path class=\"" + name + "\" d=\"" + path + "Z\"/>";
}

/// The board's four long edges where they pass x; empty if it does not reach there.
std::string section_of(const solver::Board& board, double x_m, const View& view) {
  std::string points;
  for (std::size_t i = 0; i < kCornersAnEnd; ++i) {
    const Eigen::Vector3d& from = board.corners_m.at(i);
    const Eigen::Vector3d& to = board.corners_m.at(i + kCornersAnEnd);
    if (x_m < from.x() || x_m > to.x()) {
      return {};
    }
    const Eigen::Vector3d p = from + (to - from) * ((x_m - from.x()) / (to.x() - from.x()));
    points += (i == 0 ? "M" : " ") + view.at(p.tail<2>());
  }
  return points + "Z";
}

}  // namespace

std::string thumbnail(const LogModel& log, const solver::SawPlan& plan) {
  // Where most boards can be seen: boards end to end have a gap at the very middle.
  double best_x_m = log.usable_length_m() / 2;
  std::string boards;
  std::size_t shown = 0;
  constexpr std::array<double, 3> kPlaces = {1. / 2, 1. / 4, 3. / 4};
  for (const double share : kPlaces) {
    const double x_m = share * log.usable_length_m();
    const View view(plan.orientation.roll_rad, station_at(log, x_m).centre_m);
    std::string paths;
    std::size_t count = 0;
    for (const solver::Board& board : plan.boards) {
      const std::string path = section_of(board, x_m, view);
      count += path.empty() ? 0 : 1;
      paths += path;
    }
    if (count > shown) {
      shown = count;
      boards = paths;
      best_x_m = x_m;
    }
  }
  const Station section = station_at(log, best_x_m);
  const View view(plan.orientation.roll_rad, section.centre_m);
  const auto half_mm = std::lround(section.bark_radius_m.maxCoeff() * kMmAMetre) + 5;
  const std::string half = std::to_string(half_mm);
  const std::string whole = std::to_string(2 * half_mm);
  return "<svg class=\"thumb\" viewBox=\"-" + half + " -" + half + " " + whole + " " + whole + "\">" +
         outline(section, section.bark_radius_m, view, "bark") +
         outline(section, section.wood_radius_m, view, "wood") + "<path class=\"board\" d=\"" + boards +
         "\"/></svg>";
}

}  // namespace flitchwise::yard
