/// Finding knots in a map of heights over the smooth surface.

#include "scan/fit/knots.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::find_knots;
using std::numbers::pi;

constexpr int kAngles = 180;
constexpr double kRadius_m = 0.15;
constexpr double kStep_m = 0.025;
constexpr double kTexture_m = 0.001;  // its 3.5-fold is below the least height of 8 mm

struct Unrolled {
  std::vector<Station> stations;
  std::vector<Eigen::VectorXd> bump_m;
};

Unrolled smooth_log() {
  Unrolled field;
  for (int i = 0; i <= 80; ++i) {
    Station s;
    s.x_m = kStep_m * i;
    s.bark_radius_m = Eigen::VectorXd::Constant(kAngles, kRadius_m);
    field.stations.push_back(s);
    field.bump_m.emplace_back(Eigen::VectorXd::Zero(kAngles));
  }
  return field;
}

/// A cone of this height whose foot is a disc on the unrolled surface.
void add_cone(Unrolled& field, double x_m, double theta_rad, double height_m, double extent_m) {
  for (std::size_t i = 0; i < field.stations.size(); ++i) {
    for (int k = 0; k < kAngles; ++k) {
      const double turn = std::remainder(2 * pi * k / kAngles - theta_rad, 2 * pi);
      const double away_m = std::hypot(field.stations[i].x_m - x_m, kRadius_m * turn);
      field.bump_m[i][k] += height_m * std::max(0.0, 1 - away_m / (extent_m / 2));
    }
  }
}

}  // namespace

TEST_CASE("a stub is found with its place, height and foot", "[knots]") {
  // In the middle, across theta = 0 and at the log's very end.
  const auto [x_m, theta_rad] = GENERATE(std::pair{1.0, 1.2}, std::pair{0.7, 0.0}, std::pair{1.3, -2.0});
  CAPTURE(x_m, theta_rad);
  Unrolled field = smooth_log();
  add_cone(field, x_m, theta_rad, 0.05, 0.12);
  const auto knots = find_knots(field.stations, field.bump_m, kTexture_m);
  REQUIRE(knots.size() == 1);
  CHECK_THAT(knots[0].x_m, WithinAbs(x_m, 0.2 * kStep_m));
  CHECK_THAT(std::remainder(knots[0].theta_rad - theta_rad, 2 * pi), WithinAbs(0, 0.2 * 2 * pi / kAngles));
  CHECK_THAT(knots[0].height_m, WithinAbs(0.05, 0.003));
  // Above the least height of 8 mm the cone is 0.12 (1 - 8 / 50) wide.
  CHECK_THAT(knots[0].extent_m, WithinAbs(0.1008, 0.01));
}

TEST_CASE("separate stubs stay separate", "[knots]") {
  Unrolled field = smooth_log();
  add_cone(field, 0.5, 1, 0.04, 0.1);
  add_cone(field, 1.5, 1, 0.03, 0.1);
  add_cone(field, 1.5, 2.5, 0.02, 0.1);
  const auto knots = find_knots(field.stations, field.bump_m, kTexture_m);
  REQUIRE(knots.size() == 3);
  CHECK_THAT(knots[0].x_m, WithinAbs(0.5, kStep_m));
  CHECK(knots[0].height_m > knots[1].height_m);
}

TEST_CASE("what is no higher than bark is no knot", "[knots]") {
  Unrolled field = smooth_log();
  CHECK(find_knots(field.stations, field.bump_m, kTexture_m).empty());
  add_cone(field, 1, 1, 0.007, 0.2);
  CHECK(find_knots(field.stations, field.bump_m, kTexture_m).empty());  // lower than 8 mm
  add_cone(field, 1, 1, 0.007, 0.2);
  CHECK(find_knots(field.stations, field.bump_m, kTexture_m).size() == 1);  // 14 mm
  CHECK(find_knots(field.stations, field.bump_m, 0.005).empty());           // rough bark: 17.5 mm are needed
  Unrolled dented = smooth_log();
  add_cone(dented, 1, 1, -0.05, 0.2);
  CHECK(find_knots(dented.stations, dented.bump_m, kTexture_m).empty());
  Unrolled speckled = smooth_log();
  speckled.bump_m[20][30] = speckled.bump_m[20][31] = 0.03;  // two samples: a floater
  CHECK(find_knots(speckled.stations, speckled.bump_m, kTexture_m).empty());
  speckled.bump_m[21][31] = 0.03;
  CHECK(find_knots(speckled.stations, speckled.bump_m, kTexture_m).size() == 1);
}
