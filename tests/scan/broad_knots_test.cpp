/// Finding knots in the points of a coarse scan, which show no single cell that stands out.

#include "scan/fit/broad_knots.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::add_broad_knots;
using std::numbers::pi;

constexpr double kRadius_m = 0.15;
constexpr double kLength_m = 2;
constexpr double kSpacing_m = 0.015;  // of phone depth scans
constexpr double kNoise_m = 0.004;

struct Bump {
  double x_m, theta_rad, height_m, extent_m;
};

/// Heights over the smooth surface from `from_rad` to `to_rad` round the log, with noise and floaters.
std::vector<scan::SurfacePoint> bark(const std::vector<Bump>& bumps, double from_rad, double to_rad,
                                     unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> unit(0, 1);
  std::normal_distribution<double> noise(0, kNoise_m);
  std::vector<scan::SurfacePoint> points;
  const double area_m2 = kLength_m * kRadius_m * (to_rad - from_rad);
  for (int i = 0; i < static_cast<int>(area_m2 / (kSpacing_m * kSpacing_m)); ++i) {
    scan::SurfacePoint p{kLength_m * unit(random), from_rad + (to_rad - from_rad) * unit(random),
                         noise(random)};
    for (const Bump& b : bumps) {
      const double around_m = kRadius_m * std::remainder(p.theta_rad - b.theta_rad, 2 * pi);
      const double away = std::hypot(p.x_m - b.x_m, around_m) / (b.extent_m / 2);
      p.radius_m += away < 1 ? 0.5 * b.height_m * (1 + std::cos(pi * away)) : 0;
    }
    if (unit(random) < 0.005) {
      p.radius_m += 0.02 + 0.1 * unit(random);
    }
    p.theta_rad = p.theta_rad < 0 ? p.theta_rad + 2 * pi : p.theta_rad;
    points.push_back(p);
  }
  return points;
}

}  // namespace

TEST_CASE("knots of many widths are found among noise and floaters", "[knots]") {
  const double extent_m = GENERATE(0.075, 0.11, 0.17);
  const unsigned seed = GENERATE(1U, 2U, 3U);
  CAPTURE(extent_m, seed);
  const Bump there{1.1, 1.3, 0.028, extent_m};
  std::vector<Knot> knots;
  add_broad_knots(bark({there}, 0, pi, seed), kRadius_m, kNoise_m, knots);
  REQUIRE(knots.size() == 1);
  CHECK_THAT(knots[0].x_m, WithinAbs(there.x_m, 0.02));
  CHECK_THAT(kRadius_m * (knots[0].theta_rad - there.theta_rad), WithinAbs(0, 0.02));
  // Some five points lie on the narrow one, and the bark round it wavers by 4 mm.
  CHECK_THAT(knots[0].height_m, WithinAbs(there.height_m, 0.016));
}

TEST_CASE("plain bark with floaters has no knots", "[knots]") {
  int knots_found = 0;
  for (unsigned seed = 11; seed < 19; ++seed) {
    std::vector<Knot> knots;
    add_broad_knots(bark({}, 0, pi, seed), kRadius_m, kNoise_m, knots);
    knots_found += static_cast<int>(knots.size());
  }
  CHECK(knots_found <= 2);  // on eight logs
}

TEST_CASE("a knot that is known is not added again", "[knots]") {
  const Bump there{1.1, 1.3, 0.028, 0.11};
  std::vector<Knot> knots(1);
  knots[0].x_m = 1.12;
  knots[0].theta_rad = 1.35;
  knots[0].extent_m = 0.06;
  add_broad_knots(bark({there}, 0, pi, 1), kRadius_m, kNoise_m, knots);
  CHECK(knots.size() == 1);
}

TEST_CASE("below, a knot counts only with bark all round it", "[knots]") {
  const Bump there{1.1, -0.45, 0.035, 0.1};
  std::vector<Knot> inside;
  add_broad_knots(bark({there}, -0.9, pi, 1), kRadius_m, kNoise_m, inside);
  CHECK(inside.size() == 1);
  // The scan ends in it: what touches the log from below looks like this.
  std::vector<Knot> at_edge;
  add_broad_knots(bark({there}, -0.45, pi, 1), kRadius_m, kNoise_m, at_edge);
  CHECK(at_edge.empty());
}
