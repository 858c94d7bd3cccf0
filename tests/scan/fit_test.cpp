/// The fit's answers to knots, dents, gaps, bark and bad input, on logs made by hand.

#include "scan/fit/fit.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "scan/model/errors.hpp"
#include "scan/model/species.hpp"
#include "tests/scan/hand_made.hpp"
#include "tests/support/facts.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::FitOptions;
using scan::FitResult;
using std::numbers::pi;
using testing::HandMadeLog;
using testing::log_cloud_of;

constexpr double kBark_m = 0.012;
constexpr double kRadius_m = 0.15;

FitOptions with_bark() {
  FitOptions options;
  options.bark_m = kBark_m;
  return options;
}

/// 300 mm thick but for the half millimetre that tells which end is the small one.
HandMadeLog cylinder() {
  return testing::turned(3, [](double x) { return 2 * kRadius_m + 0.0005 * (x / 3 - 0.5); });
}

/// A rounded bump (or dent) of this height, `extent_m` wide, on a cylinder.
HandMadeLog with_bump(double x_m, double theta_rad, double height_m, double extent_m) {
  HandMadeLog log = cylinder();
  log.radius_m = [=](double x, double theta) {
    const double away_m = std::hypot(x - x_m, kRadius_m * std::remainder(theta - theta_rad, 2 * pi));
    const double u = std::min(1.0, away_m / (extent_m / 2));
    return kRadius_m + 0.00025 * (x / 3 - 0.5) + height_m * (1 - u * u);
  };
  return log;
}

LogModel fitted(const HandMadeLog& log, const FitOptions& options = with_bark()) {
  const FitResult result = scan::fit(log_cloud_of(log), options);
  REQUIRE(result.status == FitResult::Status::ok);
  REQUIRE(result.log.find_error().empty());
  return result.log;
}

/// Sample of a station nearest to a place.
struct Place {
  std::size_t station;
  Eigen::Index angle;
};
Place nearest(const LogModel& log, double x_m, double theta_rad) {
  const auto at = std::min_element(
      log.stations.begin(), log.stations.end(),
      [&](const Station& a, const Station& b) { return std::abs(a.x_m - x_m) < std::abs(b.x_m - x_m); });
  const auto n = log.angle_count();
  return {static_cast<std::size_t>(at - log.stations.begin()),
          static_cast<Eigen::Index>(std::lround(theta_rad / (2 * pi) * n)) % n};
}

/// Not seen within `half_gap_rad` of straight down.
std::function<bool(double, double)> gap_below(double half_gap_rad) {
  return
      [=](double, double theta) { return std::abs(std::remainder(theta + pi / 2, 2 * pi)) > half_gap_rad; };
}

}  // namespace

TEST_CASE("a stub is found as a knot and leaves the wood as it is", "[fit]") {
  const LogModel log = fitted(with_bump(1.3, 1.1, 0.05, 0.08));
  REQUIRE(log.knots.size() == 1);
  CHECK_THAT(log.knots[0].x_m, WithinAbs(1.3, 0.005));
  CHECK_THAT(log.knots[0].theta_rad, WithinAbs(1.1, 0.02));
  CHECK_THAT(log.knots[0].height_m, WithinAbs(0.05, 0.012));  // the mean over a cell of the tip
  CHECK_THAT(log.knots[0].extent_m, WithinAbs(0.08, 0.025));  // and its foot grows by a cell
  const Place tip = nearest(log, 1.3, 1.1);
  const Station& s = log.stations[tip.station];
  CHECK(s.bark_radius_m[tip.angle] > kRadius_m + 0.035);  // the rail must clear it
  CHECK_THAT(s.wood_radius_m[tip.angle], WithinAbs(kRadius_m - kBark_m, 0.0005));
}

TEST_CASE("a dent takes the wood with it", "[fit]") {
  const LogModel log = fitted(with_bump(1.3, 1.1, -0.03, 0.16));
  CHECK(log.knots.empty());
  const Place deepest = nearest(log, 1.3, 1.1);
  const Station& s = log.stations[deepest.station];
  CHECK_THAT(s.bark_radius_m[deepest.angle], WithinAbs(kRadius_m - 0.03, 0.004));
  // Dents are taken off the wood beyond the first 5 mm, which are as likely a groove of the bark.
  CHECK(s.wood_radius_m[deepest.angle] < kRadius_m - kBark_m - 0.02);
  const Place opposite = nearest(log, 1.3, 1.1 + pi);
  CHECK_THAT(log.stations[opposite.station].wood_radius_m[opposite.angle],
             WithinAbs(kRadius_m - kBark_m, 0.0005));
}

TEST_CASE("the bark's thickness is the given one, the species' or a wide guess", "[fit]") {
  const HandMadeLog shape = cylinder();
  const auto wood_m = [](const LogModel& log) { return log.stations[30].wood_radius_m[17]; };
  SECTION("given") {
    FitOptions options = with_bark();
    options.given_bark_spread = 0.25;
    const LogModel log = fitted(shape, options);
    CHECK(log.bark_source.kind == BarkSource::Kind::given);
    CHECK_THAT(log.bark_m, WithinAbs(kBark_m, 1e-9));
    CHECK_THAT(log.bark_sigma_m, WithinAbs(0.25 * kBark_m, 1e-9));
    CHECK_THAT(wood_m(log), WithinAbs(kRadius_m - kBark_m, 0.0002));
    CHECK(log.stations[30].wood_sigma_m.minCoeff() >= 0.25 * kBark_m);
  }
  SECTION("species") {
    FitOptions options;
    options.species = "western larch";
    const LogModel log = fitted(shape, options);
    const auto larch = find_species("western larch");
    REQUIRE(larch);
    const BarkEstimate bark = bark_thickness(&*larch, 2 * kRadius_m);
    CHECK(log.bark_source == bark.source);
    CHECK_THAT(log.bark_m, WithinAbs(bark.thickness_m, 1e-4));
    CHECK_THAT(wood_m(log), WithinAbs(kRadius_m - bark.thickness_m, 0.0003));
    CHECK(log.density_kg_m3 == green_density(&*larch).density_kg_m3);
    options.bark_m = 0.02;  // a measurement beats the table
    CHECK_THAT(fitted(shape, options).bark_m, WithinAbs(0.02, 1e-9));
  }
  SECTION("unknown") {
    const LogModel log = fitted(shape, {});
    const BarkEstimate bark = bark_thickness(nullptr, 2 * kRadius_m);
    CHECK(log.bark_source == bark.source);
    CHECK_THAT(log.bark_m, WithinAbs(bark.thickness_m, 1e-4));
    CHECK_THAT(log.bark_sigma_m, WithinAbs(bark.sigma_m, 1e-4));
    CHECK(log.stations[30].wood_sigma_m.minCoeff() > 2 * 0.12 * kBark_m);
    CHECK(log.density_source == green_density(nullptr).source);
  }
}

TEST_CASE("what was not seen is closed, marked and less certain", "[fit]") {
  HandMadeLog shape = cylinder();
  shape.seen = gap_below(pi / 3);
  const LogModel log = fitted(shape);
  CHECK_THAT(log.seen_share(), WithinAbs(2.0 / 3, 0.05));  // in cells of some 20 mm: measured 0.683
  for (std::size_t i = 0; i < log.stations.size(); i += 10) {
    const Station& s = log.stations[i];
    const Place down = nearest(log, s.x_m, 1.5 * pi);
    const Place up = nearest(log, s.x_m, 0.5 * pi);
    CAPTURE(i);
    REQUIRE(s.seen[static_cast<std::size_t>(down.angle)] == 0);
    REQUIRE(s.seen[static_cast<std::size_t>(up.angle)] == 1);
    REQUIRE(s.bark_sigma_m[down.angle] > 2 * s.bark_sigma_m[up.angle]);
    REQUIRE(std::abs(s.bark_radius_m[down.angle] - kRadius_m) < 2 * s.bark_sigma_m[down.angle]);
    REQUIRE(s.bark_sigma_m[down.angle] > 0.001);  // no scan without noise is sure of what it does not show
  }
}

TEST_CASE("the uncertainty below grows with the gap", "[fit]") {
  double before_m = 0;
  for (const double half_gap_rad : {0.8, 1.1, 1.4, 1.7}) {
    HandMadeLog shape = cylinder();
    shape.seen = gap_below(half_gap_rad);
    const LogModel log = fitted(shape);
    const Place down = nearest(log, 1.5, 1.5 * pi);
    const double sigma_m = log.stations[down.station].bark_sigma_m[down.angle];
    CAPTURE(half_gap_rad, sigma_m);
    CHECK(sigma_m > before_m);
    before_m = sigma_m;
  }
  CHECK(before_m > 0.003);
}

TEST_CASE("half a girth is not enough, over the whole log or over a stretch", "[fit]") {
  HandMadeLog shape = cylinder();
  shape.seen = gap_below(2.0);  // 229 degrees are missing, less 10 at either edge
  const FitResult refused = scan::fit(log_cloud_of(shape), with_bark());
  CHECK(refused.status == FitResult::Status::one_side_only);
  testing::fact_as<scan::HalfUnseen>(refused.message);

  shape.seen = [gap = gap_below(2.0)](double x, double theta) { return x < 1 || x > 1.8 || gap(x, theta); };
  const FitResult warned = scan::fit(log_cloud_of(shape), with_bark());
  CHECK(warned.status == FitResult::Status::ok);
  CHECK_FALSE(warned.message);
  const auto& unseen = testing::fact_as<scan::UnseenStretch>(warned.warnings);
  CHECK_THAT(unseen.begin_m, WithinAbs(1.0, 0.05));
  CHECK_THAT(unseen.end_m, WithinAbs(1.8, 0.05));
  CHECK(warned.log.find_error().empty());

  shape.seen = gap_below(1.5);  // 172 degrees
  CHECK(scan::fit(log_cloud_of(shape), with_bark()).warnings.empty());
}

TEST_CASE("points off the log do not pull the surface", "[fit]") {
  scan::LogCloud cloud = log_cloud_of(cylinder());
  std::mt19937_64 random(12);
  std::uniform_real_distribution<double> uniform(0, 1);
  const std::size_t own = cloud.surface_m.size();
  for (std::size_t i = 0; i < own / 10; ++i) {  // floaters up to 100 mm off the bark, on every side
    const std::size_t from = random() % own;
    cloud.surface_m.push_back(cloud.surface_m[from] + 0.1 * uniform(random) * cloud.surface_normals[from]);
    cloud.surface_normals.emplace_back(Eigen::Vector3d::Zero());
  }
  // A bearer under it: a board 200 mm wide that touches the log from below.
  const Eigen::Vector3d middle = cloud.track[15].centre_m;
  for (double y = -0.3; y < 0.3; y += 0.008) {
    for (double x = -0.1; x < 0.1; x += 0.008) {
      cloud.surface_m.emplace_back(middle + Eigen::Vector3d(x, y, -kRadius_m));
      cloud.surface_normals.emplace_back(0, 0, 1);
    }
  }
  const FitResult result = scan::fit(cloud, with_bark());
  REQUIRE(result.status == FitResult::Status::ok);
  REQUIRE(result.log.find_error().empty());
  double worst_m = 0;
  for (const Station& s : result.log.stations) {
    worst_m = std::max(worst_m, (s.wood_radius_m.array() - (kRadius_m - kBark_m)).abs().maxCoeff());
  }
  CHECK_THAT(worst_m, WithinAbs(0, 0.001));
}

TEST_CASE("too few points are told, not fitted", "[fit]") {
  HandMadeLog shape = cylinder();
  shape.spacing_m = 0.06;
  const scan::LogCloud cloud = log_cloud_of(shape);
  REQUIRE(cloud.surface_m.size() < 2000);
  const FitResult result = scan::fit(cloud);
  CHECK(result.status == FitResult::Status::too_few_points);
  const auto& few = testing::fact_as<scan::TooFewPoints>(result.message);
  CHECK(few.points == cloud.surface_m.size());
  CHECK(few.least == 2000);
  CHECK(scan::fit({}).status == FitResult::Status::too_few_points);
}

TEST_CASE("the fit's options are checked", "[fit]") {
  const auto bad = [](auto change) {
    FitOptions options;
    change(options);
    CHECK_THROWS_AS(scan::fit({}, options), BadUse);
  };
  bad([](FitOptions& o) { o.station_spacing_m = 0.0049; });
  bad([](FitOptions& o) { o.station_spacing_m = 0.21; });
  bad([](FitOptions& o) { o.station_spacing_m = std::nan(""); });
  bad([](FitOptions& o) { o.angles = 23; });
  bad([](FitOptions& o) { o.angles = 721; });
  bad([](FitOptions& o) { o.bark_m = -0.001; });
  bad([](FitOptions& o) { o.bark_m = 0.151; });
  bad([](FitOptions& o) { o.given_bark_spread = -0.1; });
  bad([](FitOptions& o) { o.given_bark_spread = 1.1; });
  bad([](FitOptions& o) { o.species = "marzipan"; });
  FitOptions limits;
  limits.station_spacing_m = 0.005;
  limits.angles = 24;
  limits.bark_m = 0;
  limits.given_bark_spread = 1;
  CHECK_NOTHROW(scan::fit({}, limits));
}

TEST_CASE("stations and angles are as asked", "[fit]") {
  FitOptions options = with_bark();
  options.station_spacing_m = 0.1;
  options.angles = 24;
  options.bark_m = 0;
  const LogModel log = fitted(cylinder(), options);
  CHECK(log.stations.size() == 31);
  CHECK(log.angle_count() == 24);
  CHECK_THAT((log.stations[9].bark_radius_m - log.stations[9].wood_radius_m).cwiseAbs().maxCoeff(),
             WithinAbs(0, 1e-4));
}
