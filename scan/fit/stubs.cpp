#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "scan/fit/assemble.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kStubSigmas = 3.5;      // of the cells' scatter, as for knots
constexpr double kLeastStubM = 0.015;    // lumps of bark are lower
constexpr double kLeastGridM = 0.015;    // about half a slender stub
constexpr double kGridSpacings = 1.2;    // of the points, so that a stub's own points hang together
constexpr double kSlenderStubM = 0.03;   // the most slender one that is looked for
constexpr double kShareOfStub = 0.3;     // of the points that its end face alone would have
constexpr std::size_t kLeastPoints = 4;  // floaters are single, or two by chance
constexpr double kFootHeights = 3;       // of the threshold: what does not go down to there hangs in the air
constexpr double kMostExtentM = 0.25;    // wider things are neighbours and bearers
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

Knot knot_of(std::vector<const SurfacePoint*>& cluster, double radius_m) {
  const auto n = static_cast<double>(cluster.size());
  Knot knot;
  Eigen::Vector2d direction = Eigen::Vector2d::Zero();
  for (const SurfacePoint* p : cluster) {
    knot.x_m += p->x_m / n;
    direction += Eigen::Vector2d(std::cos(p->theta_rad), std::sin(p->theta_rad));
  }
  knot.theta_rad = std::atan2(direction.y(), direction.x());
  double square_m2 = 0;
  for (const SurfacePoint* p : cluster) {
    const double around_m = radius_m * std::remainder(p->theta_rad - knot.theta_rad, 2 * pi);
    square_m2 += (std::pow(p->x_m - knot.x_m, 2) + around_m * around_m) / n;
  }
  knot.extent_m = kFootOverSpread * std::sqrt(square_m2);
  const auto top = cluster.begin() + static_cast<std::ptrdiff_t>(kTop * (n - 1));
  std::nth_element(cluster.begin(), top, cluster.end(),
                   [](const SurfacePoint* a, const SurfacePoint* b) { return a->radius_m < b->radius_m; });
  knot.height_m = (*top)->radius_m;
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
        away_m < stub.extent_m / 2 + kRingM) {
      ring.add(along_m, around_m);
    }
  }
  return ring.parts() >= kLeastRingParts;
}

bool same_place(const Knot& a, const Knot& b, double radius_m) {
  const double around_m = radius_m * std::remainder(a.theta_rad - b.theta_rad, 2 * pi);
  return std::hypot(a.x_m - b.x_m, around_m) < (a.extent_m + b.extent_m) / 2;
}

}  // namespace

void add_stubs(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
               double points_a_m2, std::vector<Knot>& knots) {
  const double threshold_m = std::max(kLeastStubM, kStubSigmas * bark_texture_m);
  const double grid_m = std::max(kLeastGridM, kGridSpacings / std::sqrt(points_a_m2));
  const int columns = std::max(3, static_cast<int>(2 * pi * radius_m / grid_m));
  Grid grid;
  for (const SurfacePoint& p : heights) {
    if (p.radius_m > threshold_m) {
      const int along = static_cast<int>(std::floor(p.x_m / grid_m));
      const int around = static_cast<int>(p.theta_rad / (2 * pi) * columns) % columns;
      grid[{along, around}].push_back(&p);
    }
  }
  const double stub_m2 = pi / 4 * kSlenderStubM * kSlenderStubM;
  const auto enough = std::max(kLeastPoints, static_cast<std::size_t>(kShareOfStub * points_a_m2 * stub_m2));
  while (!grid.empty()) {
    std::vector<const SurfacePoint*> cluster = take_cluster(grid, grid.begin()->first, columns);
    const bool rooted = std::any_of(cluster.begin(), cluster.end(), [&](const SurfacePoint* p) {
      return p->radius_m < kFootHeights * threshold_m;
    });
    if (cluster.size() < enough || !rooted) {
      continue;
    }
    const Knot stub = knot_of(cluster, radius_m);
    const bool upper = std::sin(stub.theta_rad) > kUpperSide;
    if (stub.extent_m > kMostExtentM || (!upper && !stands_in_bark(stub, heights, radius_m, threshold_m))) {
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
