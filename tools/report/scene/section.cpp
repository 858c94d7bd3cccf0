#include "tools/report/scene/section.hpp"

namespace flitchwise::report {
namespace {

/// The bark's edge in runs that the scan saw and runs that it did not.
void add_bark_edge(Scene& scene, const Corners& bark, const std::vector<char>& seen) {
  for (std::size_t i = 0; i < bark.size(); ++i) {
    const Role role = seen[i] != 0 ? Role::seen_edge : Role::unseen_edge;
    if (i == 0 || scene.shapes.back().role != role) {
      scene.shapes.push_back(shape(role, {bark[i]}, false));
    }
    scene.shapes.back().corners.push_back({bark[(i + 1) % bark.size()]});
  }
}

}  // namespace

Eigen::Vector2d SectionView::at(const Eigen::Vector2d& in_log_m) const {
  const Eigen::Vector2d in_bench_m = Eigen::Rotation2Dd(roll_rad) * in_log_m;
  return {across(in_bench_m.x()), in_bench_m.y()};
}

Corners SectionView::outline(const Eigen::MatrixX2d& in_log_m) const {
  Corners corners;
  for (const auto& row : in_log_m.rowwise()) {
    corners.push_back(at(row.transpose()));
  }
  return corners;
}

void add_section(Scene& scene, const SectionView& view, const Station& station) {
  const Corners bark = view.outline(bark_outline_m(station));
  scene.shapes.push_back(shape(Role::bark, bark, true));
  scene.shapes.push_back(shape(Role::wood, view.outline(planning_outline_m(station, 0)), true));
  add_bark_edge(scene, bark, station.seen);
}

Corners board_section(const SectionView& view, const solver::Board& board, double x_m) {
  constexpr std::size_t kCornersAnEnd = 4;
  Corners corners;
  for (std::size_t i = 0; i < kCornersAnEnd; ++i) {
    const Eigen::Vector3d from = board.corners_m.at(i);
    const Eigen::Vector3d along = board.corners_m.at(i + kCornersAnEnd) - from;
    corners.push_back(view.at((from + (x_m - from.x()) / along.x() * along).tail<2>()));
  }
  return corners;
}

Eigen::AlignedBox2d box_of(const Corners& corners) {
  Eigen::AlignedBox2d box;
  for (const Eigen::Vector2d& corner : corners) {
    box.extend(corner);
  }
  return box;
}

Eigen::AlignedBox1d crossing(const Corners& outline, double y_m) {
  Eigen::AlignedBox1d found;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d& a = outline[i];
    const Eigen::Vector2d& b = outline[(i + 1) % outline.size()];
    if ((a.y() < y_m) != (b.y() < y_m)) {
      found.extend(Eigen::Matrix<double, 1, 1>(a.x() + (b.x() - a.x()) * (y_m - a.y()) / (b.y() - a.y())));
    }
  }
  return found;
}

}  // namespace flitchwise::report
