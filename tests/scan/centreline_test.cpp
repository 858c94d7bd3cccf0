#include "scan/fit/centreline.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

namespace {

using namespace flitchwise;
using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;

constexpr double kRoundOff_m = 1e-9;

}  // namespace

TEST_CASE("the log frame is right-handed, along the chord, with z as near to up as it goes", "[centreline]") {
  const Eigen::Vector3d small_end(400'000.25, 5'200'000.5, 812);
  const Eigen::Vector3d large_end = small_end + Eigen::Vector3d(2, -1.5, 0.4);
  const LogFrame frame = frame_between(small_end, large_end);
  const Eigen::Matrix3d& r = frame.scan_from_log;
  CHECK((r.transpose() * r - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  CHECK_THAT(r.determinant(), WithinAbs(1, 1e-12));
  CHECK((r.col(0) - (large_end - small_end).normalized()).norm() < 1e-9);
  CHECK_THAT(r(2, 1), WithinAbs(0, 1e-15));  // y lies level
  CHECK(r(2, 2) > 0);                        // z points up
  // One who looks along x has y to the left: up x forward.
  CHECK(r.col(1).dot(Eigen::Vector3d::UnitZ().cross(r.col(0))) > 0.9);
  CHECK(frame.to_log(small_end).norm() < kRoundOff_m);
  const Eigen::Vector3d somewhere(0.3, -0.2, 1.7);
  CHECK((frame.to_log(frame.to_scan(somewhere)) - somewhere).norm() < 1e-8);
}

TEST_CASE("the centreline runs through its values and straight on beyond them", "[centreline]") {
  const Centreline line(0.5, 0.25, {{0, 0}, {0.1, -0.2}, {0.4, 0}});
  CHECK(line.begin_m() == 0.5);
  CHECK_THAT(line.end_m(), WithinAbs(1.0, kRoundOff_m));
  const auto is = [&](double x, double y, double z) {
    return (line.at(x) - Eigen::Vector2d(y, z)).norm() < kRoundOff_m;
  };
  CHECK(is(0.5, 0, 0));
  CHECK(is(0.625, 0.05, -0.1));
  CHECK(is(0.75, 0.1, -0.2));
  CHECK(is(1.0, 0.4, 0));
  CHECK(is(1.25, 0.7, 0.2));
  CHECK(is(0.25, -0.1, 0.2));
}

TEST_CASE("a curve of the scan frame keeps its place in the log frame", "[centreline]") {
  // A bow of 60 mm in 4 m, sampled as coarsely as a track, seen from a frame that is turned and shifted.
  const LogFrame frame = frame_between({3, 4, 0.3}, {6.4, 6, 0.5});
  const auto bow = [](double x) { return Eigen::Vector2d(0.06 * 4 * x * (4 - x) / 16, -0.01 * x); };
  std::vector<Eigen::Vector3d> curve;
  for (int i = 0; i <= 40; ++i) {
    const double x = 0.1 * i;
    curve.push_back(frame.to_scan({x, bow(x).x(), bow(x).y()}));
  }
  const Centreline line = centreline_in(frame, curve);
  CHECK_THAT(line.begin_m(), WithinAbs(0, kRoundOff_m));
  CHECK(line.end_m() >= 4 - kRoundOff_m);
  CHECK(line.end_m() < 4.02);
  double worst_m = 0;
  for (double x = 0; x <= 4; x += 0.013) {
    worst_m = std::max(worst_m, (line.at(x) - bow(x)).norm());
  }
  CHECK(worst_m < 0.04e-3);  // a parabola departs from its chords of 100 mm by 0.0375 mm
}

TEST_CASE("a spline goes through any cubic, and comes back as a curve", "[centreline]") {
  // Cubic splines hold every cubic; of third differences 1e-3 against a hundred points a metre costs little.
  const SurfaceBasis basis(-0.02, 3.02, 0.12);
  const auto cubic = [](double x) {
    return Eigen::Vector2d(0.01 * x * (3 - x), 0.002 * x * (x - 1) * (x - 3));
  };
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i <= 304; ++i) {
    points.push_back(cubic(-0.02 + 0.01 * i));
  }
  const Eigen::MatrixX2d spline_m = spline_through(Centreline(-0.02, 0.01, points), basis);
  REQUIRE(spline_m.rows() == basis.spline_count());
  const Centreline curve = centreline_of(spline_m, basis);
  CHECK_THAT(curve.begin_m(), WithinAbs(basis.begin_m(), kRoundOff_m));
  CHECK_THAT(curve.end_m(), WithinAbs(basis.end_m(), kRoundOff_m));
  for (double x = 0; x <= 3; x += 0.07) {
    CHECK((curve.at(x) - cubic(x)).norm() < 1e-4);
  }
}
