/// The outline of the sawn faces, where the bark between them was seen from above only.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "scan/fit/assemble.hpp"
#include "scan/fit/fit.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using std::numbers::pi;

constexpr double kLength_m = 2;
constexpr double kSpacing_m = 0.006;

/// Round on top, and below `flat_m` nearer to the middle than round: nothing above hints at that.
double radius_m(double theta, double flat_m) {
  const double down = std::max(0.0, -std::sin(theta));
  return 0.15 - flat_m * down * down * down;
}

/// Bark from above, both faces whole but for what lies lower than `face_from_m`.
scan::LogCloud half_seen(double flat_m, double face_from_m) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> unit(0, 1);
  std::normal_distribution<double> noise(0, 0.001);
  scan::LogCloud cloud;
  cloud.status = scan::LogCloud::Status::ok;
  const auto bark = static_cast<int>(kLength_m * pi * 0.15 / (kSpacing_m * kSpacing_m));
  for (int i = 0; i < bark; ++i) {
    const double theta = (-0.1 + 1.2 * unit(random)) * pi;
    const double r = radius_m(theta, flat_m) + noise(random);
    cloud.surface_m.emplace_back(kLength_m * unit(random), r * std::cos(theta), r * std::sin(theta));
    cloud.surface_normals.emplace_back(0, std::cos(theta), std::sin(theta));
  }
  const auto face = static_cast<int>(0.32 * 0.32 / (kSpacing_m * kSpacing_m));
  for (int i = 0; i < 2 * face; ++i) {
    const Eigen::Vector2d p(0.32 * (unit(random) - 0.5), 0.32 * (unit(random) - 0.5));
    if (p.norm() < radius_m(std::atan2(p.y(), p.x()), flat_m) && p.y() > face_from_m) {
      const double x = (i < face ? 0 : kLength_m) + noise(random);
      (i < face ? cloud.first_face : cloud.last_face).push_back({{x, p.x(), p.y()}, std::nullopt});
    }
  }
  for (double x = 0; x <= kLength_m; x += 0.1) {
    cloud.track.push_back({{x, 0, 0}, 0.15, 0.6});
  }
  cloud.first_end = {{0, 0, 0}, -Eigen::Vector3d::UnitX(), true};
  cloud.last_end = {{kLength_m, 0, 0}, Eigen::Vector3d::UnitX(), true};
  return cloud;
}

/// From the log's axis straight down to the bark, halfway along.
double depth_below_m(const scan::FitResult& fitted) {
  const Station s = station_at(fitted.log, kLength_m / 2);
  const Eigen::Vector3d centre = fitted.log.frame.to_scan({s.x_m, s.centre_m.x(), s.centre_m.y()});
  return s.bark_radius_m[s.bark_radius_m.size() * 3 / 4] - centre.z();
}

}  // namespace

TEST_CASE("the faces show the underside that no bark point does", "[fit]") {
  constexpr double flat_m = 0.015;
  const double true_m = radius_m(-pi / 2, flat_m);
  const scan::LogCloud seen = half_seen(flat_m, -1);
  const scan::FitResult with = scan::fit(seen);
  REQUIRE(with.status == scan::FitResult::Status::ok);
  CHECK_THAT(depth_below_m(with), WithinAbs(true_m, 0.003));
  scan::LogCloud blind = seen;
  blind.first_face.clear();
  blind.last_face.clear();
  const scan::FitResult without = scan::fit(blind);
  REQUIRE(without.status == scan::FitResult::Status::ok);
  CHECK(depth_below_m(without) > true_m + 0.004);
  const auto below = [](const scan::FitResult& r) {
    const Station s = station_at(r.log, kLength_m / 2);
    return s.bark_sigma_m[s.bark_sigma_m.size() * 3 / 4];
  };
  CHECK(below(with) < below(without));
}

TEST_CASE("faces of which half is hidden do not pull the underside up", "[fit]") {
  // Something low stands before both faces: their points end at a level, far above the bark's underside.
  const scan::FitResult fitted = scan::fit(half_seen(0, -0.05));
  REQUIRE(fitted.status == scan::FitResult::Status::ok);
  CHECK_THAT(depth_below_m(fitted), WithinAbs(0.15, 0.008));
}
