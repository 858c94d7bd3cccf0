#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/fit/assemble.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kKnotSigmas = 4.2;      // of the bark's own texture, noise included
constexpr double kLeastHeightM = 0.008;  // lower swellings do not stop a rail or a saw
constexpr std::size_t kLeastSamples = 3;

struct Sample {
  std::size_t station;
  Eigen::Index angle;
};

/// The connected patch of samples above the threshold that holds `start`; marks them as taken.
std::vector<Sample> patch_at(const Sample& start, const std::vector<Eigen::VectorXd>& bump_m,
                             double threshold_m, std::vector<std::vector<char>>& taken) {
  std::vector<Sample> patch{start};
  taken[start.station][static_cast<std::size_t>(start.angle)] = 1;
  for (std::size_t next = 0; next < patch.size(); ++next) {
    for (int di = -1; di <= 1; ++di) {
      for (int dk = -1; dk <= 1; ++dk) {
        const auto i = static_cast<std::ptrdiff_t>(patch[next].station) + di;
        if (i < 0 || i >= static_cast<std::ptrdiff_t>(bump_m.size())) {
          continue;
        }
        const auto row = static_cast<std::size_t>(i);
        const Eigen::Index n = bump_m[row].size();
        const Eigen::Index k = (patch[next].angle + dk + n) % n;
        char& mark = taken[row][static_cast<std::size_t>(k)];
        if (mark == 0 && bump_m[row][k] > threshold_m) {
          mark = 1;
          patch.push_back({row, k});
        }
      }
    }
  }
  return patch;
}

Knot knot_of(const std::vector<Sample>& patch, const std::vector<Station>& stations,
             const std::vector<Eigen::VectorXd>& bump_m) {
  Knot knot;
  double area_m2 = 0;
  double weight = 0;
  Eigen::Vector2d direction = Eigen::Vector2d::Zero();
  const double step_m =
      (stations.back().x_m - stations.front().x_m) / static_cast<double>(stations.size() - 1);
  for (const Sample& s : patch) {
    const double height_m = bump_m[s.station][s.angle];
    const auto n = static_cast<double>(bump_m[s.station].size());
    const double theta = 2 * std::numbers::pi * static_cast<double>(s.angle) / n;
    knot.height_m = std::max(knot.height_m, height_m);
    knot.x_m += height_m * stations[s.station].x_m;
    direction += height_m * Eigen::Vector2d(std::cos(theta), std::sin(theta));
    weight += height_m;
    area_m2 += step_m * stations[s.station].bark_radius_m[s.angle] * 2 * std::numbers::pi / n;
  }
  knot.x_m /= weight;
  knot.theta_rad = std::atan2(direction.y(), direction.x());
  knot.extent_m = 2 * std::sqrt(area_m2 / std::numbers::pi);
  return knot;
}

}  // namespace

std::vector<Knot> find_knots(const std::vector<Station>& stations, const std::vector<Eigen::VectorXd>& bump_m,
                             double bark_texture_m) {
  const double threshold_m = std::max(kLeastHeightM, kKnotSigmas * bark_texture_m);
  std::vector<std::vector<char>> taken;
  for (const Eigen::VectorXd& row : bump_m) {
    taken.emplace_back(static_cast<std::size_t>(row.size()), 0);
  }
  std::vector<Knot> knots;
  for (std::size_t i = 0; i < bump_m.size(); ++i) {
    for (Eigen::Index k = 0; k < bump_m[i].size(); ++k) {
      if (taken[i][static_cast<std::size_t>(k)] == 1 || bump_m[i][k] <= threshold_m) {
        continue;
      }
      const std::vector<Sample> patch = patch_at({i, k}, bump_m, threshold_m, taken);
      if (patch.size() >= kLeastSamples) {
        knots.push_back(knot_of(patch, stations, bump_m));
      }
    }
  }
  return knots;
}

}  // namespace flitchwise::scan
