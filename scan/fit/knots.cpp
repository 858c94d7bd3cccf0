#include "scan/fit/knots.hpp"

#include <Eigen/Core>
#include <map>
#include <utility>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

// Knots: patches of a map of heights.
constexpr double kKnotSigmas = 4.2;       // of the bark's own texture, noise included
constexpr double kLeastHeight_m = 0.008;  // lower swellings do not stop a rail or a saw
constexpr std::size_t kLeastPatch = 3;

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
    const double theta = 2 * pi * static_cast<double>(s.angle) / n;
    knot.height_m = std::max(knot.height_m, height_m);
    knot.x_m += height_m * stations[s.station].x_m;
    direction += height_m * Eigen::Vector2d(std::cos(theta), std::sin(theta));
    weight += height_m;
    area_m2 += step_m * stations[s.station].bark_radius_m[s.angle] * 2 * pi / n;
  }
  knot.x_m /= weight;
  knot.theta_rad = std::atan2(direction.y(), direction.x());
  knot.extent_m = 2 * std::sqrt(area_m2 / pi);
  return knot;
}

// Stubs: clusters of points.
constexpr double kStubSigmas = 3.5;      // of the cells' scatter, as for knots
constexpr double kLeastStub_m = 0.015;   // lumps of bark are lower
constexpr double kLeastGrid_m = 0.015;   // about half a slender stub
constexpr double kGridSpacings = 1.2;    // of the points, so that a stub's own points hang together
constexpr double kSlenderStub_m = 0.03;  // the most slender one that is looked for
constexpr double kShareOfStub = 0.3;     // of the points that its end face alone would have
constexpr std::size_t kLeastPoints = 4;  // floaters are single, or two by chance
constexpr double kFootHeights = 3;       // of the threshold: what does not go down to there hangs in the air
constexpr double kMostExtent_m = 0.25;   // wider things are neighbours and bearers
constexpr int kLeastRingParts = 6;       // of eight; seen from above, a stub hides some bark behind it
constexpr double kTop = 0.9;             // quantile of the heights: floaters may lie over it
constexpr double kFootOverSpread = 2.3;  // diameter of a foot over the RMS distance of its points: between a
                                         // ring (2) and a disc (2.8)

using Place = std::pair<int, int>;  // along, around
using Grid = std::map<Place, std::vector<const SurfacePoint*>>;

/// All points of the connected cells that hold `start`, which leave the grid.
std::vector<const SurfacePoint*> take_cluster(Grid& grid, Place start, int columns) {
  std::vector<const SurfacePoint*> cluster;
  std::vector<Place> open{start};
  while (!open.empty()) {
    const Place at = open.back();
    open.pop_back();
    const auto cell = grid.find(at);
    if (cell == grid.end()) {
      continue;
    }
    cluster.insert(cluster.end(), cell->second.begin(), cell->second.end());
    grid.erase(cell);
    for (int i = -1; i <= 1; ++i) {
      for (int k = -1; k <= 1; ++k) {
        open.emplace_back(at.first + i, (at.second + k + columns) % columns);
      }
    }
  }
  return cluster;
}

Knot stub_of(const std::vector<const SurfacePoint*>& cluster, double radius_m) {
  const auto n = static_cast<double>(cluster.size());
  Knot knot;
  Eigen::Vector2d direction = Eigen::Vector2d::Zero();
  std::vector<double> heights_m;
  for (const SurfacePoint* p : cluster) {
    knot.x_m += p->x_m / n;
    direction += Eigen::Vector2d(std::cos(p->theta_rad), std::sin(p->theta_rad));
    heights_m.push_back(p->radius_m);
  }
  knot.theta_rad = std::atan2(direction.y(), direction.x());
  double square_m2 = 0;
  for (const SurfacePoint* p : cluster) {
    const double around_m = radius_m * std::remainder(p->theta_rad - knot.theta_rad, 2 * pi);
    square_m2 += (std::pow(p->x_m - knot.x_m, 2) + around_m * around_m) / n;
  }
  knot.extent_m = kFootOverSpread * std::sqrt(square_m2);
  knot.height_m = quantile(std::move(heights_m), kTop);
  return knot;
}

/// Whether plain bark lies on most sides of a stub.
bool stands_in_bark(const Knot& stub, const std::vector<SurfacePoint>& heights, double radius_m,
                    double threshold_m) {
  BarkRing ring;
  for (const SurfacePoint& p : heights) {
    const double along_m = p.x_m - stub.x_m;
    const double around_m = radius_m * std::remainder(p.theta_rad - stub.theta_rad, 2 * pi);
    const double away_m = std::hypot(along_m, around_m);
    if (std::abs(p.radius_m) < threshold_m && away_m > stub.extent_m / 2 &&
        away_m < stub.extent_m / 2 + kRing_m) {
      ring.add(along_m, around_m);
    }
  }
  return ring.parts() >= kLeastRingParts;
}

}  // namespace

bool same_place(const Knot& a, const Knot& b, double radius_m) {
  const double around_m = radius_m * std::remainder(a.theta_rad - b.theta_rad, 2 * pi);
  return std::hypot(a.x_m - b.x_m, around_m) < (a.extent_m + b.extent_m) / 2;
}

std::vector<Knot> find_knots(const std::vector<Station>& stations, const std::vector<Eigen::VectorXd>& bump_m,
                             double bark_texture_m) {
  const double threshold_m = std::max(kLeastHeight_m, kKnotSigmas * bark_texture_m);
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
      if (patch.size() >= kLeastPatch) {
        knots.push_back(knot_of(patch, stations, bump_m));
      }
    }
  }
  return knots;
}

void add_stubs(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
               double points_a_m2, std::vector<Knot>& knots) {
  const double threshold_m = std::max(kLeastStub_m, kStubSigmas * bark_texture_m);
  const double grid_m = std::max(kLeastGrid_m, kGridSpacings / std::sqrt(points_a_m2));
  const int columns = std::max(3, static_cast<int>(2 * pi * radius_m / grid_m));
  Grid grid;
  for (const SurfacePoint& p : heights) {
    if (p.radius_m > threshold_m) {
      const int along = static_cast<int>(std::floor(p.x_m / grid_m));
      const int around = static_cast<int>(p.theta_rad / (2 * pi) * columns) % columns;
      grid[{along, around}].push_back(&p);
    }
  }
  const double stub_m2 = pi / 4 * kSlenderStub_m * kSlenderStub_m;
  const auto enough = std::max(kLeastPoints, static_cast<std::size_t>(kShareOfStub * points_a_m2 * stub_m2));
  while (!grid.empty()) {
    const std::vector<const SurfacePoint*> cluster = take_cluster(grid, grid.begin()->first, columns);
    const bool rooted = std::any_of(cluster.begin(), cluster.end(), [&](const SurfacePoint* p) {
      return p->radius_m < kFootHeights * threshold_m;
    });
    if (cluster.size() < enough || !rooted) {
      continue;
    }
    const Knot stub = stub_of(cluster, radius_m);
    const bool upper = std::sin(stub.theta_rad) > kUpperSide;
    if (stub.extent_m > kMostExtent_m || (!upper && !stands_in_bark(stub, heights, radius_m, threshold_m))) {
      continue;
    }
    const auto known = std::find_if(knots.begin(), knots.end(),
                                    [&](const Knot& knot) { return same_place(knot, stub, radius_m); });
    if (known == knots.end()) {
      knots.push_back(stub);
    } else {
      known->height_m = std::max(known->height_m, stub.height_m);
    }
  }
}

}  // namespace flitchwise::scan
