/// Volumes of solids of revolution against their closed forms, and the trade's formulas against a published
/// example.

#include "scan/model/volume.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "scan/model/errors.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinRel;
using std::numbers::pi;

constexpr double kLength_m = 4;
constexpr double kSmall_m = 0.3;
constexpr double kLarge_m = 0.4;
constexpr double kIssueShare = 0.002;  // what the project asks of the volume
constexpr double kExact = 1e-9;

double disc_m2(double diameter_m) {
  return pi / 4 * diameter_m * diameter_m;
}

/// Sections every 25 mm from radius(x, theta); the end planes stand at the first and the last one.
LogModel log_of(const std::function<double(double, double)>& radius_m, int angles = 180,
                double length_m = kLength_m, double bark_m = 0.01) {
  LogModel log;
  const int count = static_cast<int>(std::ceil(length_m / 0.025));
  for (int i = 0; i <= count; ++i) {
    Station s;
    s.x_m = std::min(0.025 * i, length_m);
    s.bark_radius_m.resize(angles);
    for (Eigen::Index k = 0; k < angles; ++k) {
      s.bark_radius_m[k] = radius_m(s.x_m, 2 * pi * static_cast<double>(k) / angles);
    }
    s.wood_radius_m = s.bark_radius_m.array() - bark_m;
    s.bark_sigma_m = s.wood_sigma_m = Eigen::VectorXd::Zero(angles);
    s.seen.assign(static_cast<std::size_t>(angles), 1);
    log.stations.push_back(s);
  }
  log.small_end = {{0, 0, 0}, -Eigen::Vector3d::UnitX(), true};
  log.large_end = {{length_m, 0, 0}, Eigen::Vector3d::UnitX(), true};
  return log;
}

/// A solid of revolution whose diameter to the power `order` is linear along it: 1 a cone, 2 a paraboloid,
/// 2/3 a neiloid.
LogModel revolved(double order) {
  return log_of([=](double x, double /*theta*/) {
    const double u = x / kLength_m;
    return 0.5 * std::pow((1 - u) * std::pow(kSmall_m, order) + u * std::pow(kLarge_m, order), 1 / order);
  });
}

}  // namespace

// Closed forms: D. R. Larsen, Forest Functions, Cubic Log Volume (cone and neiloid frustum); the paraboloid
// is L (A_s + A_l) / 2. The figures of Smalian's and Huber's errors follow from them.
TEST_CASE("the volume of a cone, a paraboloid and a neiloid is exact", "[volume]") {
  const double a = disc_m2(kSmall_m);
  const double b = disc_m2(kLarge_m);
  struct Solid {
    double order, exact_m3, smalian_error, huber_error;
  };
  const Solid solid =
      GENERATE_COPY(Solid{1, kLength_m * (a + std::sqrt(a * b) + b) / 3, 0.01351351, -0.00675676},
                    Solid{2, kLength_m * (a + b) / 2, 0, 0},
                    Solid{2.0 / 3, kLength_m * (a + std::cbrt(a * a * b) + std::cbrt(a * b * b) + b) / 4,
                          0.01811361, -0.00905681});
  CAPTURE(solid.order);
  const LogModel log = revolved(solid.order);
  const LogVolume v = log_volume(log, Surface::bark);
  CHECK_THAT(v.length_m, WithinRel(kLength_m, kExact));
  CHECK_THAT(v.integrated_m3, WithinRel(solid.exact_m3, 1e-6));
  CHECK_THAT(log.volume_m3(), WithinRel(solid.exact_m3, kIssueShare));
  CHECK_THAT(v.newton_m3, WithinRel(solid.exact_m3, 1e-6));
  CHECK_THAT(v.smalian_m3, WithinRel((1 + solid.smalian_error) * solid.exact_m3, 1e-6));
  CHECK_THAT(v.huber_m3, WithinRel((1 + solid.huber_error) * solid.exact_m3, 1e-6));
}

TEST_CASE("the trade's formulas give the published example", "[volume]") {
  // Larsen, as above: 25 cm and 29 cm over 5 m; Smalian 0.287848, cone 0.286801 m3. Newton is exact for the
  // cone, whose middle is 27 cm.
  CHECK_THAT(smalian_m3(5, disc_m2(0.25), disc_m2(0.29)), WithinRel(0.287848, 2e-6));
  CHECK_THAT(newton_m3(5, disc_m2(0.25), disc_m2(0.27), disc_m2(0.29)), WithinRel(0.286801, 2e-6));
  CHECK_THAT(huber_m3(5, disc_m2(0.27)), WithinRel(5 * disc_m2(0.27), kExact));
}

TEST_CASE("a section's area does not depend on its angles or its middle", "[volume]") {
  // An ellipse around a point off its middle; area pi a b.
  const auto ellipse = [](double /*x*/, double theta) {
    constexpr double kA = 0.2;
    constexpr double kB = 0.16;
    constexpr double kOff = 0.03;  // of the centre along the long axis
    const double c = std::cos(theta);
    const double s = std::sin(theta);
    const double q = kB * kB * c * c + kA * kA * s * s;
    const double root = std::sqrt(q - s * s * kOff * kOff);
    return kB * (-kOff * kB * c + kA * root) / q;
  };
  for (const int angles : {24, 90, 180}) {
    CAPTURE(angles);
    const LogVolume v = log_volume(log_of(ellipse, angles), Surface::bark);
    CHECK_THAT(v.integrated_m3, WithinRel(pi * 0.2 * 0.16 * kLength_m, 1e-6));
  }
}

TEST_CASE("wood is what the bark leaves, and slanted ends count at their middle", "[volume]") {
  LogModel log = log_of([](double, double) { return 0.15; }, 180, 3);
  CHECK_THAT(log_volume(log, Surface::wood).integrated_m3, WithinRel(3 * disc_m2(0.28), 1e-9));
  log.small_end.point_m.x() = -0.02;  // the whole sections begin 20 mm in from the middle of a slanted cut
  log.large_end.point_m.x() = 3.03;
  const LogVolume v = log_volume(log, Surface::bark);
  CHECK_THAT(v.length_m, WithinRel(3.05, kExact));
  CHECK_THAT(v.integrated_m3, WithinRel(3.05 * disc_m2(0.3), 1e-9));
  CHECK_THAT(v.smalian_m3, WithinRel(3.05 * disc_m2(0.3), 1e-9));
}

TEST_CASE("the taper goes on to a slanted end", "[volume]") {
  const auto cone = [](double x, double) { return 0.15 + 0.01 * x; };
  LogModel log = log_of(cone, 180, 2);
  log.small_end.point_m.x() = -0.03;
  log.large_end.point_m.x() = 2.04;
  const double a = disc_m2(2 * cone(-0.03, 0));
  const double b = disc_m2(2 * cone(2.04, 0));
  const LogVolume v = log_volume(log, Surface::bark);
  CHECK_THAT(v.integrated_m3, WithinRel(2.07 * (a + std::sqrt(a * b) + b) / 3, 1e-9));
  CHECK_THAT(v.smalian_m3, WithinRel(2.07 * (a + b) / 2, 1e-9));
}

TEST_CASE("a broken model has no volume", "[volume]") {
  LogModel log = log_of([](double, double) { return 0.15; });
  log.stations[3].bark_radius_m[7] = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(log_volume(log, Surface::bark), BadUse);
  LogModel turned = log_of([](double, double) { return 0.15; });
  std::swap(turned.small_end, turned.large_end);
  CHECK_THROWS_AS(log_volume(turned, Surface::bark), BadUse);
}
