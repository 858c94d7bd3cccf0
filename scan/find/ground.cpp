#include "scan/find/ground.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kCell_m = 0.4;           // ground is smooth over this length; a log's shadow is bridged
constexpr double kReach_m = 0.30;         // unevenness around the plane that still counts as ground
constexpr double kGroundQuantile = 0.25;  // low enough to look through grass, high enough to ignore floaters
constexpr std::size_t kLeastCellPoints = 8;
constexpr double kStandsOff_m = 0.045;  // points less high are ground or lie in it
constexpr int kBridgingRounds = 40;
constexpr int kAroundCells = 2;       // each way: wider than any log
constexpr double kMostRise_m = 0.10;  // of a cell over the ground around it: more is the underside of a log

/// Where the ground under a log was not seen, the log's own underside is the lowest of its cell: takes such
/// cells out.
void drop_undersides(std::vector<double>& offsets_m, const Eigen::Vector2i& size) {
  const std::vector<double> found = offsets_m;
  for (int j = 0; j < size.y(); ++j) {
    for (int i = 0; i < size.x(); ++i) {
      std::vector<double> around;
      for (int dj = std::max(0, j - kAroundCells); dj <= std::min(size.y() - 1, j + kAroundCells); ++dj) {
        for (int di = std::max(0, i - kAroundCells); di <= std::min(size.x() - 1, i + kAroundCells); ++di) {
          const double value = found[static_cast<std::size_t>(dj * size.x() + di)];
          if (std::isfinite(value)) {
            around.push_back(value);
          }
        }
      }
      double& here = offsets_m[static_cast<std::size_t>(j * size.x() + i)];
      if (std::isfinite(here) && here > quantile(std::move(around), kGroundQuantile) + kMostRise_m) {
        here = std::nan("");
      }
    }
  }
}

/// Fills the cells without a value from the mean of their neighbours, from the rim inwards.
void bridge(std::vector<double>& offsets_m, const Eigen::Vector2i& size) {
  for (int round = 0; round < kBridgingRounds; ++round) {
    std::vector<double> next = offsets_m;
    for (int j = 0; j < size.y(); ++j) {
      for (int i = 0; i < size.x(); ++i) {
        const auto here = static_cast<std::size_t>(j * size.x() + i);
        if (std::isfinite(offsets_m[here])) {
          continue;
        }
        double sum = 0;
        double count = 0;
        for (int dj = std::max(0, j - 1); dj <= std::min(size.y() - 1, j + 1); ++dj) {
          for (int di = std::max(0, i - 1); di <= std::min(size.x() - 1, i + 1); ++di) {
            const double value = offsets_m[static_cast<std::size_t>(dj * size.x() + di)];
            sum += std::isfinite(value) ? value : 0;
            count += std::isfinite(value) ? 1 : 0;
          }
        }
        next[here] = count > 0 ? sum / count : next[here];
      }
    }
    offsets_m.swap(next);
  }
  std::replace_if(
      offsets_m.begin(), offsets_m.end(), [](double v) { return !std::isfinite(v); }, 0.0);
}

}  // namespace

GroundSurface::GroundSurface(const Ground& ground, const Points& points, const Eigen::Vector3d& origin_m)
    : point_m_(ground.point_m - origin_m), normal_(ground.normal), u_(ground.normal.unitOrthogonal()) {
  v_ = normal_.cross(u_);
  Eigen::Vector2i most = Eigen::Vector2i::Constant(std::numeric_limits<int>::min());
  least_ = Eigen::Vector2i::Constant(std::numeric_limits<int>::max());
  for (const auto& p : points) {
    const Eigen::Vector2i cell = cell_of(p.cast<double>() - point_m_);
    least_ = least_.cwiseMin(cell);
    most = most.cwiseMax(cell);
  }
  size_ = most - least_ + Eigen::Vector2i::Ones();
  std::vector<std::vector<double>> heights(static_cast<std::size_t>(size_.x()) *
                                           static_cast<std::size_t>(size_.y()));
  for (const auto& p : points) {
    const Eigen::Vector3d d = p.cast<double>() - point_m_;
    const double height = normal_.dot(d);
    if (std::abs(height) < kReach_m) {
      const Eigen::Vector2i cell = cell_of(d) - least_;
      heights[static_cast<std::size_t>(cell.y() * size_.x() + cell.x())].push_back(height);
    }
  }
  offsets_m_.assign(heights.size(), std::nan(""));
  for (std::size_t i = 0; i < heights.size(); ++i) {
    if (heights[i].size() >= kLeastCellPoints) {
      offsets_m_[i] = quantile(std::move(heights[i]), kGroundQuantile);
    }
  }
  drop_undersides(offsets_m_, size_);
  bridge(offsets_m_, size_);
}

Eigen::Vector2i GroundSurface::cell_of(const Eigen::Vector3d& d) const {
  return {static_cast<int>(std::floor(u_.dot(d) / kCell_m)),
          static_cast<int>(std::floor(v_.dot(d) / kCell_m))};
}

double GroundSurface::height_m(const Eigen::Vector3f& point) const {
  const Eigen::Vector3d d = point.cast<double>() - point_m_;
  // Bilinear between cell middles, so that a slope leaves no steps.
  const double x = u_.dot(d) / kCell_m - 0.5 - least_.x();
  const double y = v_.dot(d) / kCell_m - 0.5 - least_.y();
  const int i = std::clamp(static_cast<int>(std::floor(x)), 0, std::max(0, size_.x() - 2));
  const int j = std::clamp(static_cast<int>(std::floor(y)), 0, std::max(0, size_.y() - 2));
  const double fx = std::clamp(x - i, 0.0, 1.0);
  const double fy = std::clamp(y - j, 0.0, 1.0);
  const auto offset = [&](int di, int dj) {
    const int ii = std::min(i + di, size_.x() - 1);
    const int jj = std::min(j + dj, size_.y() - 1);
    return offsets_m_[static_cast<std::size_t>(jj * size_.x() + ii)];
  };
  const double local = (1 - fy) * ((1 - fx) * offset(0, 0) + fx * offset(1, 0)) +
                       fy * ((1 - fx) * offset(0, 1) + fx * offset(1, 1));
  return normal_.dot(d) - local;
}

std::vector<std::size_t> above_ground(const Points& points, const Eigen::Vector3d& origin_m,
                                      const std::optional<Ground>& ground) {
  std::vector<std::size_t> kept(points.size());
  std::iota(kept.begin(), kept.end(), std::size_t{0});
  if (!ground || points.empty()) {
    return kept;
  }
  const GroundSurface surface(*ground, points, origin_m);
  std::erase_if(kept, [&](std::size_t i) { return surface.height_m(points[i]) < kStandsOff_m; });
  return kept;
}

}  // namespace flitchwise::scan
