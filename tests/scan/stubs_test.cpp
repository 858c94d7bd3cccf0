/// Stubs from the points that stand off the smooth surface.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "scan/fit/knots.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::SurfacePoint;
using std::numbers::pi;

constexpr double kRadius_m = 0.15;
constexpr double kTexture_m = 0.002;  // the threshold is then the least height of 15 mm

double density(double spacing_m) {
  return 1 / (spacing_m * spacing_m);
}

/// Side wall and end face of a round stub, at even spacing.
void add_stub(std::vector<SurfacePoint>& heights, double x_m, double theta, double height_m,
              double diameter_m, double spacing_m) {
  const auto add = [&](double along, double around, double height) {
    const double turn = theta + around / kRadius_m;
    heights.push_back({x_m + along, turn - 2 * pi * std::floor(turn / (2 * pi)), height});
  };
  const int round = static_cast<int>(std::lround(pi * diameter_m / spacing_m));
  for (double h = spacing_m / 2; h < height_m; h += spacing_m) {
    for (int k = 0; k < round; ++k) {
      add(diameter_m / 2 * std::cos(2 * pi * k / round), diameter_m / 2 * std::sin(2 * pi * k / round), h);
    }
  }
  for (double a = -diameter_m / 2; a <= diameter_m / 2; a += spacing_m) {
    for (double b = -diameter_m / 2; b <= diameter_m / 2; b += spacing_m) {
      if (std::hypot(a, b) < diameter_m / 2) {
        add(a, b, height_m);
      }
    }
  }
}

}  // namespace

TEST_CASE("stubs of 30 to 150 mm are found in fine and in coarse scans", "[knots]") {
  const double spacing_m = GENERATE(0.005, 0.015);
  const double height_m = GENERATE(0.03, 0.07, 0.15);
  const double theta = GENERATE(1.2, 6.28);  // the second lies across zero
  CAPTURE(spacing_m, height_m, theta);
  std::vector<SurfacePoint> heights;
  add_stub(heights, 1.3, theta, height_m, 0.045, spacing_m);
  std::vector<Knot> knots;
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(spacing_m), knots);
  REQUIRE(knots.size() == 1);
  CHECK_THAT(knots[0].x_m, WithinAbs(1.3, 0.004));
  CHECK_THAT(std::remainder(knots[0].theta_rad - theta, 2 * pi), WithinAbs(0, 0.03));
  CHECK_THAT(knots[0].height_m, WithinAbs(height_m, 0.25 * height_m));
  CHECK_THAT(knots[0].extent_m, WithinAbs(0.045, 0.015));
}

TEST_CASE("floaters, bark and neighbours are no stubs", "[knots]") {
  std::vector<Knot> knots;
  std::vector<SurfacePoint> heights;
  std::mt19937_64 random(5);
  std::uniform_real_distribution<double> uniform(0, 1);
  for (int i = 0; i < 400; ++i) {  // 4 m of log; floaters as many as half a percent of a fine scan's points
    heights.push_back({4 * uniform(random), 2 * pi * uniform(random), 0.02 + 0.13 * uniform(random)});
  }
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  CHECK(knots.empty());
  heights.clear();
  add_stub(heights, 1, 1, 0.012, 0.1, 0.005);  // no higher than a lump of bark
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  CHECK(knots.empty());
  heights.clear();
  add_stub(heights, 1, 1, 0.05, 0.4, 0.005);  // as wide as a neighbouring log
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  CHECK(knots.empty());
  heights.clear();
  add_stub(heights, 1, 1, 0.05, 0.05, 0.005);
  for (SurfacePoint& p : heights) {
    p.radius_m += 0.06;  // hangs in the air
  }
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  CHECK(knots.empty());
}

TEST_CASE("a stub on the lower side counts where plain bark lies round it", "[knots]") {
  const double below = 2 * pi - 0.6;  // sine -0.56
  const bool with_bark = GENERATE(false, true);
  std::vector<SurfacePoint> heights;
  add_stub(heights, 1.3, below, 0.06, 0.045, 0.005);
  for (double x_m = 1.2; with_bark && x_m < 1.4; x_m += 0.005) {
    for (double around_m = -0.1; around_m < 0.1; around_m += 0.005) {
      if (std::hypot(x_m - 1.3, around_m) > 0.03) {
        heights.push_back({x_m, below + around_m / kRadius_m, 0.001});
      }
    }
  }
  std::vector<Knot> knots;
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  CHECK(knots.size() == (with_bark ? 1 : 0));  // without, it may as well be grass or a bearer
}

TEST_CASE("a stub on a known knot makes it higher, not two", "[knots]") {
  std::vector<Knot> knots{{1.31, 1.0, 0.02, 0.09}};
  std::vector<SurfacePoint> heights;
  add_stub(heights, 1.3, 1, 0.08, 0.045, 0.005);
  scan::add_stubs(heights, kRadius_m, kTexture_m, density(0.005), knots);
  REQUIRE(knots.size() == 1);
  CHECK(knots[0].height_m > 0.06);
}
