/// Points gathered in cells around a centreline.

#include "scan/fit/cells.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "tests/scan/hand_made.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::SurfacePoint;
using std::numbers::pi;

}  // namespace

TEST_CASE("unrolled points keep place, angle and distance", "[cells]") {
  scan::LogCloud cloud;
  cloud.surface_m = {{1, 0.3, 0.1}, {2, 0, -0.2}, {2.5, -0.1, 0.2}};
  cloud.surface_normals.assign(3, Eigen::Vector3d::Zero());
  const scan::Centreline bent(0, 1, {{0, 0}, {0.1, 0.1}, {0, 0}, {-0.1, 0.2}});
  const auto points = scan::unroll(cloud, {}, bent);
  REQUIRE(points.size() == 3);
  CHECK_THAT(points[0].x_m, WithinAbs(1, 1e-12));
  CHECK_THAT(points[0].theta_rad, WithinAbs(0, 1e-9));
  CHECK_THAT(points[0].radius_m, WithinAbs(0.2, 1e-12));
  CHECK_THAT(points[1].theta_rad, WithinAbs(1.5 * pi, 1e-9));  // below: never negative
  CHECK_THAT(points[2].radius_m, WithinAbs(std::hypot(0.05, 0.1), 1e-12));
}

TEST_CASE("a normal across the radius drops a point of the bark, but not of all", "[cells]") {
  scan::LogCloud cloud;
  cloud.surface_m.assign(4, Eigen::Vector3d(1, 0.2, 0));
  cloud.surface_normals = {{0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, 0}};
  const scan::Centreline straight(0, 1, {{0, 0}, {0, 0}, {0, 0}});
  CHECK(scan::unroll(cloud, {}, straight).size() == 3);
  CHECK(scan::unroll(cloud, {}, straight, scan::Points::all).size() == 4);
}

TEST_CASE("a cell holds median, spread and count of its points", "[cells]") {
  const double theta = 0.5 * 2 * pi / 90;  // the middle of the first cell around
  std::vector<SurfacePoint> points;
  for (const double r : {0.100, 0.102, 0.104, 0.106, 0.300}) {  // the last one floats
    points.push_back({0.012, theta, r});
  }
  points.push_back({0.99, 2 * pi - 1e-9, 0.2});
  points.push_back({-0.01, theta, 0.2});  // before the first ring and past the last one
  points.push_back({1.01, theta, 0.2});
  const scan::CellGrid grid = scan::gather(points, 0, 1, 0.025, 90);
  CHECK(grid.nx == 40);
  REQUIRE(grid.cells.size() == 2);
  const scan::Cell& first = grid.cells[0];
  CHECK(first.ix == 0);
  CHECK(first.itheta == 0);
  CHECK(first.count == 5);
  CHECK_THAT(first.radius_m, WithinAbs(0.104, 1e-12));
  CHECK_THAT(first.spread_m, WithinAbs(1.4826 * 0.002, 1e-9));
  CHECK_THAT(first.theta_rad, WithinAbs(theta, 1e-12));
  CHECK_THAT(first.ring_x_m, WithinAbs(0.0125, 1e-12));
  CHECK(grid.cells[1].ix == 39);
  CHECK(grid.cells[1].itheta == 89);
}
