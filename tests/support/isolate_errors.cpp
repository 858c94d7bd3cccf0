#include "tests/support/isolate_errors.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace flitchwise::testing {
namespace {

using Cell = std::tuple<int, int, int>;
constexpr double kFar_m = 0.03;
constexpr double kLabelCell_m = 0.005;  // a surface point is the mean of about such a cell
constexpr double kKeptCell_m = 0.01;

Cell cell_of(const Eigen::Vector3d& p, double edge_m) {
  const Eigen::Array3i c = (p.array() / edge_m).floor().cast<int>();
  return {c.x(), c.y(), c.z()};
}

bool is_of_log(simulate::Label label) {
  return label == simulate::Label::bark || label == simulate::Label::end_face;
}

/// Most frequent label of each cell.
std::map<Cell, std::array<int, kLabels>> labels_of(const scan::Cloud& cloud,
                                                   const std::vector<simulate::Label>& labels) {
  std::map<Cell, std::array<int, kLabels>> cells;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    ++cells[cell_of(cloud.points[i].cast<double>(), kLabelCell_m)][static_cast<std::size_t>(labels[i])];
  }
  return cells;
}

void count_foreign(const scan::Cloud& cloud, const scan::LogCloud& log, const simulate::Simulation& made,
                   IsolateErrors& errors) {
  const auto labels = labels_of(cloud, made.scan.labels);
  double known = 0;
  for (const Eigen::Vector3d& p : log.surface_m) {
    const auto found = labels.find(cell_of(p - cloud.origin, kLabelCell_m));
    if (found == labels.end()) {
      continue;
    }
    known += 1;
    const auto& counts = found->second;
    const auto most =
        static_cast<std::size_t>(std::max_element(counts.begin(), counts.end()) - counts.begin());
    if (!is_of_log(static_cast<simulate::Label>(most))) {
      errors.kinds[most] += 1;
      errors.foreign_share += 1;
      errors.far_share += std::abs(made.truth.log.bark_height_m(p)) > kFar_m ? 1 : 0;
    }
  }
  known = std::max(known, 1.0);
  errors.foreign_share /= known;
  errors.far_share /= known;
  for (double& kind : errors.kinds) {
    kind /= known;
  }
}

double kept_share(const scan::Cloud& cloud, const scan::LogCloud& log, const simulate::Simulation& made) {
  std::map<Cell, bool> bark;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    if (made.scan.labels[i] == simulate::Label::bark) {
      bark[cell_of(cloud.points[i].cast<double>(), kKeptCell_m)] = false;
    }
  }
  for (const Eigen::Vector3d& p : log.surface_m) {
    const auto found = bark.find(cell_of(p - cloud.origin, kKeptCell_m));
    if (found != bark.end()) {
      found->second = true;
    }
  }
  const auto kept = std::count_if(bark.begin(), bark.end(), [](const auto& c) { return c.second; });
  return static_cast<double>(kept) / std::max(1.0, static_cast<double>(bark.size()));
}

}  // namespace

IsolateErrors isolate_errors(const scan::Cloud& cloud, const scan::LogCloud& log,
                             const simulate::Simulation& made) {
  IsolateErrors errors;
  if (log.track.empty()) {
    return errors;
  }
  const simulate::Truth& truth = made.truth;
  const auto inside = std::count_if(log.track.begin(), log.track.end(), [&](const scan::TrackPoint& t) {
    const Eigen::Vector3d p = truth.to_log(t.centre_m);
    return (p.tail<2>() - truth.centre_at(p.x())).norm() < 0.3 * t.radius_m;
  });
  errors.right_log = 2 * static_cast<std::size_t>(inside) > log.track.size();
  const bool forwards = truth.to_log(log.first_end.point_m).x() < truth.to_log(log.last_end.point_m).x();
  const EndPlane& small_end = forwards ? log.first_end : log.last_end;
  const EndPlane& large_end = forwards ? log.last_end : log.first_end;
  errors.length_m = (large_end.point_m - small_end.point_m).norm() -
                    (truth.large_end.point_m - truth.small_end.point_m).norm();
  errors.small_end_m = truth.small_end.normal.dot(truth.to_log(small_end.point_m) - truth.small_end.point_m);
  errors.large_end_m = truth.large_end.normal.dot(truth.to_log(large_end.point_m) - truth.large_end.point_m);
  count_foreign(cloud, log, made, errors);
  errors.kept_share = kept_share(cloud, log, made);
  return errors;
}

}  // namespace flitchwise::testing
