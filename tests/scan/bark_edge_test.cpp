/// The bark's thickness from the colours of the sawn faces.

#include "scan/fit/bark_edge.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "scan/model/errors.hpp"
#include "tests/support/against_truth.hpp"
#include "tests/support/facts.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::RimPoint;
using std::numbers::pi;

/// A face of 150 mm radius with points every 6 mm, of the lightness that is wanted at a depth and angle.
std::vector<RimPoint> face_of(const std::function<double(double depth_m, double theta)>& lightness,
                              std::uint64_t seed) {
  constexpr double kRadius_m = 0.15;
  constexpr double kSpacing_m = 0.006;
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::vector<RimPoint> face;
  for (double y = -kRadius_m; y < kRadius_m; y += kSpacing_m) {
    for (double z = -kRadius_m; z < kRadius_m; z += kSpacing_m) {
      const double depth_m = kRadius_m - std::hypot(y, z);
      const double theta = std::atan2(z, y);
      if (depth_m > 0 && depth_m < 0.055) {
        face.push_back({depth_m + 0.001 * normal(random), theta < 0 ? theta + 2 * pi : theta,
                        lightness(depth_m, theta) + 12 * normal(random)});
      }
    }
  }
  return face;
}

double ring(double depth_m, double bark_m) {
  return depth_m < bark_m ? 70 : 170;
}

}  // namespace

TEST_CASE("a dark ring is measured as bark", "[bark]") {
  const double bark_m = GENERATE(0.006, 0.012, 0.025);
  CAPTURE(bark_m);
  const auto face = [&](double depth, double) { return ring(depth, bark_m); };
  const auto bark = scan::bark_from_rims(face_of(face, 1), face_of(face, 2));
  REQUIRE(bark);
  CHECK_THAT(bark->thickness_m, WithinAbs(bark_m, 0.002));
  CHECK(bark->sigma_m >= 0.0015);
  CHECK(bark->sigma_m < 0.004);
  CHECK(bark->source.kind == BarkSource::Kind::ends);
}

TEST_CASE("one shaded face and dirt do not mislead", "[bark]") {
  const auto sunny = [](double depth, double theta) {
    const bool dirt = theta > 1 && theta < 2 && depth > 0.02 && depth < 0.05;
    return dirt ? 120 : ring(depth, 0.012);
  };
  const auto shaded = [](double depth, double theta) {
    return (0.8 + 0.1 * std::sin(theta)) * ring(depth, 0.012);
  };
  const auto bark = scan::bark_from_rims(face_of(sunny, 3), face_of(shaded, 4));
  REQUIRE(bark);
  CHECK_THAT(bark->thickness_m, WithinAbs(0.012, 0.002));
}

TEST_CASE("no clear ring, no measurement", "[bark]") {
  const auto grey = [](double, double) { return 150.0; };
  CHECK_FALSE(scan::bark_from_rims(face_of(grey, 5), face_of(grey, 6)));
  const auto light_rim = [](double depth, double) { return depth < 0.012 ? 190.0 : 130.0; };  // sapwood
  CHECK_FALSE(scan::bark_from_rims(face_of(light_rim, 5), face_of(light_rim, 6)));
  const auto faint = [](double depth, double) { return depth < 0.012 ? 150.0 : 165.0; };
  CHECK_FALSE(scan::bark_from_rims(face_of(faint, 5), face_of(faint, 6)));
  CHECK_FALSE(scan::bark_from_rims({}, {}));
  const auto ragged = [](double depth, double theta) {
    return ring(depth, std::sin(theta) > 0 ? 0.006 : 0.03);
  };
  CHECK_FALSE(scan::bark_from_rims(face_of(ragged, 7), face_of(ragged, 8)));
}

TEST_CASE("the fit takes the bark from the ends of a scan, unless the person gives it", "[bark]") {
  simulate::LogWishes wishes;
  wishes.bark_m = 0.016;
  wishes.length_m = 2.5;
  simulate::Scanner scanner = simulate::photo_scanner();
  scanner.ground_spacing_m = 0.03;
  const auto made = simulate::simulate_random(113, scanner, wishes);
  const auto oriented = scan::orient(testing::cloud_of(made.scan));
  const scan::LogCloud cloud = scan::isolate(oriented.cloud, oriented.ground);
  REQUIRE_FALSE(cloud.message);
  REQUIRE(cloud.first_face.size() > 100);
  REQUIRE(cloud.last_face.size() > 100);
  const scan::FitResult measured = scan::fit(cloud);
  REQUIRE_FALSE(measured.message);
  CHECK(measured.log.bark_source.kind == BarkSource::Kind::ends);
  CHECK_THAT(measured.log.bark_m, WithinAbs(made.truth.bark_m, 2 * measured.log.bark_sigma_m));

  scan::FitOptions options;
  options.bark_m = 0.05;
  const scan::FitResult given = scan::fit(cloud, options);
  CHECK(given.log.bark_source.kind == BarkSource::Kind::given);
  REQUIRE_FALSE(given.warnings.empty());
  const auto& differs = testing::fact_as<scan::BarkDiffers>(given.warnings.back());
  CHECK(differs.is_given);
  CHECK(differs.other_m == 0.05);
  CHECK_THAT(differs.at_ends_m, WithinAbs(made.truth.bark_m, 2 * measured.log.bark_sigma_m));

  scan::LogCloud grey = cloud;
  grey.first_face.clear();
  grey.last_face.clear();
  CHECK(scan::fit(grey).log.bark_source.kind == BarkSource::Kind::all_species);
}
