/// The fit on logs made by hand, without noise, against closed forms.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/fit/fit.hpp"
#include "tests/scan/hand_made.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using std::numbers::pi;
using testing::HandMadeLog;
using testing::log_cloud_of;
using testing::turned;

// Without noise there remain the polygon of 180 corners in place of the circle (0.02 % of the area) and the
// median of a cell in place of its middle.
constexpr double kRadius_m = 0.00015;
constexpr double kVolumeShare = 0.001;

LogModel fitted(const HandMadeLog& log) {
  scan::FitOptions options;
  options.bark_m = 0.01;
  const scan::FitResult result = scan::fit(log_cloud_of(log), options);
  REQUIRE(result.status == scan::FitResult::Status::ok);
  REQUIRE_FALSE(result.message);
  REQUIRE(result.log.find_error().empty());
  return result.log;
}

/// Every radius and centre against the shape that was put in.
void check_surface(const LogModel& log, const HandMadeLog& shape, double tolerance_m) {
  double worst_radius_m = 0;
  double worst_centre_m = 0;
  for (const Station& s : log.stations) {
    worst_centre_m = std::max(worst_centre_m, (s.centre_m - shape.centre_m(s.x_m)).norm());
    for (int k = 0; k < log.angle_count(); ++k) {
      const double true_m = shape.radius_m(s.x_m, 2 * pi * k / log.angle_count());
      worst_radius_m = std::max(worst_radius_m, std::abs(s.bark_radius_m[k] - true_m));
    }
  }
  CHECK_THAT(worst_radius_m, WithinAbs(0, tolerance_m));
  CHECK_THAT(worst_centre_m, WithinAbs(0, tolerance_m));
}

}  // namespace

TEST_CASE("a cylinder comes back with its diameter, length and volume", "[fit]") {
  const double diameter_m = GENERATE(0.16, 0.3, 0.55);
  const double length_m = 2.4;
  CAPTURE(diameter_m);
  const HandMadeLog shape = turned(length_m, [&](double) { return diameter_m; });
  const LogModel log = fitted(shape);
  CHECK_THAT(log.length_m, WithinAbs(length_m, 1e-6));
  CHECK_THAT(log.usable_length_m(), WithinAbs(length_m, 1e-6));
  CHECK_THAT(log.small_end_diameter_m(), WithinAbs(diameter_m, 2 * kRadius_m));
  CHECK_THAT(log.large_end_diameter_m(), WithinAbs(diameter_m, 2 * kRadius_m));
  CHECK_THAT(log.sweep_m(), WithinAbs(0, kRadius_m));
  CHECK_THAT(log.volume_m3(), WithinRel(pi / 4 * diameter_m * diameter_m * length_m, kVolumeShare));
  CHECK(log.seen_share() == 1);
  CHECK(log.knots.empty());
  CHECK(log.angle_count() == 180);
  CHECK(log.stations.size() == 97);  // 2.4 m at 25 mm
  check_surface(log, shape, kRadius_m);
}

// Ends of 30 and 40 cm, 4 m long; formulas of the frustums as in log_model_test.cpp (D. R. Larsen, Forest
// Functions, Cubic Log Volume).
TEST_CASE("cone, paraboloid and neiloid come back with their volume", "[fit]") {
  const double a = std::pow(0.3, 2.0 / 3);
  const double b = std::pow(0.4, 2.0 / 3);
  const int which = GENERATE(0, 1, 2);
  CAPTURE(which);
  const std::function<double(double)> diameters[] = {
      [](double x) { return 0.3 + 0.025 * x; }, [](double x) { return std::sqrt(0.09 + 0.0175 * x); },
      [=](double x) { return std::pow(a + (b - a) * x / 4, 1.5); }};
  const double volumes_m3[] = {0.387463094, 0.392699082, 0.385712435};
  HandMadeLog shape = turned(4, diameters[which]);
  shape.reversed = which == 1;  // the fit finds the small end itself
  const LogModel log = fitted(shape);
  CHECK_THAT(log.small_end_diameter_m(), WithinAbs(0.3, 2 * kRadius_m));
  CHECK_THAT(log.bark_diameter_m(80), WithinAbs(diameters[which](2), 2 * kRadius_m));
  CHECK_THAT(log.large_end_diameter_m(), WithinAbs(0.4, 2 * kRadius_m));
  CHECK_THAT(log.length_m, WithinAbs(4, 1e-6));
  CHECK_THAT(log.volume_m3(), WithinRel(volumes_m3[which], kVolumeShare));
  check_surface(log, shape, kRadius_m);
}

TEST_CASE("a bent cylinder comes back with its sweep and its volume", "[fit]") {
  const double sweep_m = GENERATE(0.02, 0.08);
  const double side_rad = GENERATE(0.3, 2.5);
  CAPTURE(sweep_m, side_rad);
  // A cylinder but for the half millimetre that tells which end is the small one.
  HandMadeLog shape = turned(3, [](double x) { return 0.28 + 0.0005 * x / 3; });
  shape.centre_m = [=](double x) {
    return Eigen::Vector2d(sweep_m * 4 * x * (3 - x) / 9 *
                           Eigen::Vector2d(std::cos(side_rad), std::sin(side_rad)));
  };
  const LogModel log = fitted(shape);
  CHECK_THAT(log.sweep_m(), WithinAbs(sweep_m, kRadius_m));
  CHECK_THAT(log.volume_m3(), WithinRel(pi / 4 * 0.28025 * 0.28025 * 3, kVolumeShare));  // Cavalieri
  const Eigen::Vector2d middle = log.stations[60].centre_m;
  CHECK_THAT(std::atan2(middle.y(), middle.x()), WithinAbs(side_rad, 0.01));
  check_surface(log, shape, kRadius_m);
}

TEST_CASE("an oval log keeps its outline", "[fit]") {
  HandMadeLog shape = turned(2.5, [](double) { return 0.3; });
  shape.radius_m = [](double x, double theta) {
    return 0.15 + 0.002 * x + 0.008 * std::cos(2 * (theta - 0.7));
  };
  check_surface(fitted(shape), shape, kRadius_m);
}

TEST_CASE("what the track is off the middle leaves no trace in the centreline", "[fit]") {
  // A third of the girth hidden below, and errors of 4 mm that go together over some 100 mm: so much noise
  // leaves room for a crooked centreline, and the track's own wiggles must not fill it.
  HandMadeLog shape = turned(3, [](double x) { return 0.3 + 0.01 * x; });
  shape.centre_m = [](double x) { return Eigen::Vector2d(0.02 * x * (3 - x), 0); };
  shape.seen = [](double, double theta) { return std::sin(theta) > -0.6; };
  const auto smooth = shape.radius_m;
  shape.radius_m = [smooth](double x, double theta) {
    return smooth(x, theta) +
           0.004 * std::sin(41 * x + 1.3 * std::sin(2 * theta)) * std::cos(3 * theta + 17 * x);
  };
  const scan::LogCloud even = log_cloud_of(shape);
  scan::LogCloud wiggling = even;
  for (std::size_t i = 1; i + 1 < wiggling.track.size(); ++i) {
    const auto k = static_cast<double>(i);
    wiggling.track[i].centre_m += Eigen::Vector3d(0, 0.006 * std::sin(2.1 * k), 0.006 * std::cos(1.3 * k));
  }
  const LogModel from_even = scan::fit(even).log;
  const LogModel from_wiggling = scan::fit(wiggling).log;
  REQUIRE(from_even.stations.size() == from_wiggling.stations.size());
  double worst_m = 0;
  for (std::size_t i = 0; i < from_even.stations.size(); ++i) {
    worst_m = std::max(worst_m, (from_even.stations[i].centre_m - from_wiggling.stations[i].centre_m).norm());
  }
  CHECK(worst_m < 0.0003);
}

TEST_CASE("ends out of square leave the whole sections between their innermost points", "[fit]") {
  const HandMadeLog shape = turned(3, [](double x) { return 0.3 + 0.0005 * x; });
  scan::LogCloud cloud = log_cloud_of(shape);
  const Eigen::Matrix3d tilt = Eigen::AngleAxisd(0.2, Eigen::Vector3d::UnitY()).toRotationMatrix();
  cloud.first_end.normal = tilt * cloud.first_end.normal;
  cloud.last_end.normal = tilt.transpose() * cloud.last_end.normal;
  const scan::FitResult result = scan::fit(cloud);
  REQUIRE(result.status == scan::FitResult::Status::ok);
  REQUIRE(result.log.find_error().empty());
  const double lost_m = 0.15 * std::tan(0.2);
  const double lost_large_m = 0.15075 * std::tan(0.2);
  CHECK_THAT(result.log.length_m, WithinAbs(3, 1e-4));
  CHECK_THAT(result.log.usable_length_m(), WithinAbs(3 - lost_m - lost_large_m, 1e-4));
  CHECK_THAT(result.log.small_end.point_m.x(), WithinAbs(-lost_m, 1e-4));
  CHECK_THAT(result.log.large_end.point_m.x(), WithinAbs(3 - lost_m, 1e-4));
  CHECK_THAT(result.log.small_end.normal.x(), WithinAbs(-std::cos(0.2), 1e-6));
  CHECK(result.log.small_end.seen);
}

TEST_CASE("the model in the log frame does not depend on where the log lies", "[fit]") {
  HandMadeLog shape = turned(3, [](double x) { return 0.3 + 0.015 * x; });
  shape.centre_m = [](double x) { return Eigen::Vector2d(0.01 * x * (3 - x), -0.02 * std::sin(x)); };
  const LogModel here = fitted(shape);
  shape.scan_from_log = Eigen::Translation3d(431'250.5, 5'212'004.25, 640) *
                        Eigen::AngleAxisd(2.2, Eigen::Vector3d::UnitZ()) * shape.scan_from_log;
  const LogModel there = fitted(shape);
  REQUIRE(there.stations.size() == here.stations.size());
  // A double holds millions of metres to a nanometre; medians over such points may pick a neighbour.
  constexpr double kSame_m = 2e-5;  // measured 6.1e-6
  for (std::size_t i = 0; i < here.stations.size(); ++i) {
    const Station& a = here.stations[i];
    const Station& b = there.stations[i];
    REQUIRE_THAT(b.x_m, WithinAbs(a.x_m, kSame_m));
    REQUIRE((b.centre_m - a.centre_m).norm() < kSame_m);
    REQUIRE((b.bark_radius_m - a.bark_radius_m).cwiseAbs().maxCoeff() < kSame_m);
    REQUIRE((b.wood_sigma_m - a.wood_sigma_m).cwiseAbs().maxCoeff() < kSame_m);
    REQUIRE(b.seen == a.seen);
  }
  CHECK_THAT(there.length_m, WithinAbs(here.length_m, kSame_m));
  // The frame itself is turned with the log.
  const Eigen::Vector3d expected = shape.scan_from_log * Eigen::Vector3d::Zero();
  CHECK((there.frame.origin_in_scan_m - expected).norm() < 2 * kRadius_m);
  const Eigen::Matrix3d turn = Eigen::AngleAxisd(2.2, Eigen::Vector3d::UnitZ()).toRotationMatrix();
  CHECK((there.frame.scan_from_log - turn * here.frame.scan_from_log).norm() < 1e-6);
}
