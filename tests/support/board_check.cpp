#include "tests/support/board_check.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

namespace flitchwise::test {
namespace {

using Corners = std::array<Eigen::Vector3d, 8>;

constexpr std::array<std::pair<std::size_t, std::size_t>, 12> kEdges{
    {{0, 1}, {1, 2}, {2, 3}, {3, 0}, {4, 5}, {5, 6}, {6, 7}, {7, 4}, {0, 4}, {1, 5}, {2, 6}, {3, 7}}};

/// Where the box's edges pierce the plane at x: the corners of its section there.
std::vector<Eigen::Vector2d> section_of(const Corners& corners, double x) {
  std::vector<Eigen::Vector2d> section;
  for (const auto& [a, b] : kEdges) {
    const Eigen::Vector3d& p = corners.at(a);
    const Eigen::Vector3d& q = corners.at(b);
    if ((p.x() - x) * (q.x() - x) <= 0 && p.x() != q.x()) {
      const Eigen::Vector3d at = p + (q - p) * (x - p.x()) / (q.x() - p.x());
      section.emplace_back(at.y(), at.z());
    }
  }
  return section;
}

/// Distance outside a polygon; 0 inside. Inside by the crossing number.
double outside_m(const Eigen::MatrixX2d& polygon, const Eigen::Vector2d& point) {
  bool inside = false;
  double distance = std::numeric_limits<double>::infinity();
  for (Eigen::Index i = 0; i < polygon.rows(); ++i) {
    const Eigen::Vector2d a = polygon.row(i);
    const Eigen::Vector2d b = polygon.row((i + 1) % polygon.rows());
    if ((a.y() > point.y()) != (b.y() > point.y()) &&
        point.x() < a.x() + (b.x() - a.x()) * (point.y() - a.y()) / (b.y() - a.y())) {
      inside = !inside;
    }
    const Eigen::Vector2d edge = b - a;
    const double u = std::clamp((point - a).dot(edge) / edge.squaredNorm(), 0.0, 1.0);
    distance = std::min(distance, (point - a - u * edge).norm());
  }
  return inside ? 0 : distance;
}

double gap_along(const Eigen::Vector3d& axis, const Corners& a, const Corners& b) {
  const auto span = [&](const Corners& corners) {
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (const Eigen::Vector3d& corner : corners) {
      low = std::min(low, axis.dot(corner));
      high = std::max(high, axis.dot(corner));
    }
    return std::pair{low, high};
  };
  const auto [a_low, a_high] = span(a);
  const auto [b_low, b_high] = span(b);
  return std::max(a_low - b_high, b_low - a_high);
}

std::array<Eigen::Vector3d, 3> axes_of(const Corners& c) {
  return {(c[4] - c[0]).normalized(), (c[1] - c[0]).normalized(), (c[3] - c[0]).normalized()};
}

double gap_m(const Corners& a, const Corners& b) {
  double gap = -std::numeric_limits<double>::infinity();
  std::vector<Eigen::Vector3d> axes;
  for (const Eigen::Vector3d& u : axes_of(a)) {
    axes.push_back(u);
    for (const Eigen::Vector3d& v : axes_of(b)) {
      const Eigen::Vector3d across = u.cross(v);
      if (across.norm() > 1e-6) {
        axes.push_back(across.normalized());
      }
    }
  }
  for (const Eigen::Vector3d& v : axes_of(b)) {
    axes.push_back(v);
  }
  for (const Eigen::Vector3d& axis : axes) {
    gap = std::max(gap, gap_along(axis, a, b));
  }
  return gap;
}

}  // namespace

double worst_overhang_m(const LogModel& log, const solver::SawPlan& plan) {
  double worst = 0;
  for (const solver::Board& board : plan.boards) {
    for (const Eigen::Vector3d& corner : board.corners_m) {
      worst = std::max({worst, -corner.x(), corner.x() - log.usable_length_m()});
    }
    for (const Station& station : log.stations) {
      const Eigen::MatrixX2d outline = planning_outline_m(station, plan.options.sigmas);
      const std::vector<Eigen::Vector2d> section = section_of(board.corners_m, station.x_m);
      for (const Eigen::Vector2d& p : section) {
        for (const Eigen::Vector2d& q : section) {
          for (const double u : {0.0, 0.25, 0.5}) {
            worst = std::max(worst, outside_m(outline, p + u * (q - p)));
          }
        }
      }
    }
  }
  return worst;
}

double least_gap_m(const solver::SawPlan& plan) {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < plan.boards.size(); ++i) {
    for (std::size_t j = i + 1; j < plan.boards.size(); ++j) {
      least = std::min(least, gap_m(plan.boards[i].corners_m, plan.boards[j].corners_m));
    }
  }
  return least;
}

double least_plane_distance_m(const solver::SawPlan& plan) {
  double least = std::numeric_limits<double>::infinity();
  for (const solver::Board& board : plan.boards) {
    const solver::Flitch& flitch = plan.flitches.at(board.flitch);
    const solver::CutPlane& upper = plan.planes.at(flitch.upper_plane);
    const solver::CutPlane& lower = plan.planes.at(flitch.lower_plane);
    for (const Eigen::Vector3d& corner : board.corners_m) {
      least = std::min(
          {least, upper.normal.dot(upper.point_m - corner), lower.normal.dot(corner - lower.point_m)});
    }
  }
  return least;
}

double worst_size_error_m(const solver::SawPlan& plan) {
  double worst = 0;
  for (const solver::Board& board : plan.boards) {
    const Corners& c = board.corners_m;
    const solver::Target& target = plan.targets.at(board.target);
    const bool flat = plan.flitches.at(board.flitch).kind == solver::Flitch::Kind::flat;
    const Eigen::Vector3d along = c[4] - c[0];
    const Eigen::Vector3d across = c[1] - c[0];
    const Eigen::Vector3d up = c[3] - c[0];
    worst = std::max({worst, std::abs(along.norm() - target.length_m),
                      std::abs(across.norm() - (flat ? target.width_m : target.thickness_m)),
                      std::abs(up.norm() - (flat ? target.thickness_m : target.width_m)),
                      std::abs(along.normalized().dot(across)), std::abs(along.normalized().dot(up)),
                      std::abs(across.normalized().dot(up)), (c[0] + along + across + up - c[6]).norm()});
  }
  return worst;
}

}  // namespace flitchwise::test
