/// From simulated scans to log models, against the truth.

#include <sched.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "tests/support/against_truth.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using simulate::Simulation;
using std::numbers::pi;

LogModel model_of(const Simulation& made) {
  const scan::OrientResult oriented = scan::orient(testing::cloud_of(made.scan));
  const scan::LogCloud cloud = scan::isolate(oriented.cloud, oriented.ground);
  REQUIRE_FALSE(cloud.message);
  scan::FitOptions options;
  options.bark_m = made.truth.bark_m;
  const scan::FitResult result = scan::fit(cloud, options);
  REQUIRE_FALSE(result.message);
  REQUIRE(result.status == scan::FitResult::Status::ok);
  REQUIRE(result.log.find_error().empty());
  return result.log;
}

simulate::Scanner coarser(simulate::Scanner scanner) {
  scanner.spacing_m = std::max(scanner.spacing_m, 0.008);
  scanner.ground_spacing_m = 0.03;
  return scanner;
}

/// Lets this process use one processor only while it lives, as OMP and TBB see it.
class OneProcessor {
 public:
  OneProcessor() {
    sched_getaffinity(0, sizeof(before_), &before_);
    cpu_set_t one;
    CPU_ZERO(&one);
    for (std::size_t i = 0; i < CPU_SETSIZE; ++i) {
      if (CPU_ISSET(i, &before_)) {
        CPU_SET(i, &one);
        break;
      }
    }
    sched_setaffinity(0, sizeof(one), &one);
  }
  ~OneProcessor() { sched_setaffinity(0, sizeof(before_), &before_); }
  OneProcessor(const OneProcessor&) = delete;
  OneProcessor& operator=(const OneProcessor&) = delete;
  OneProcessor(OneProcessor&&) = delete;
  OneProcessor& operator=(OneProcessor&&) = delete;

 private:
  cpu_set_t before_{};
};

}  // namespace

TEST_CASE("scans like those from photographs are fitted to a few millimetres", "[fit]") {
  // The last two are hard: their undersides close 3 to 5 mm too far out. In brackets the worst seed, or the
  // mean.
  const std::vector<std::uint64_t> seeds{1, 2, 3, 4, 45, 46};
  double centreline_m = 0;
  double unseen_bark = 0;
  double unseen_wood = 0;
  testing::KnotErrors knots;
  for (const std::uint64_t seed : seeds) {
    CAPTURE(seed);
    const Simulation made = simulate::simulate_random(seed, coarser(simulate::photo_scanner()));
    const LogModel log = model_of(made);
    const testing::FitErrors errors = testing::against_truth(log, made.truth);
    CHECK_THAT(errors.length_m, WithinAbs(0, 0.005));          // [2.3 mm]
    CHECK_THAT(errors.usable_length_m, WithinAbs(0, 0.008));   // [3.2 mm]
    CHECK_THAT(errors.centreline_rms_m, WithinAbs(0, 0.008));  // [3.8 mm]
    CHECK_THAT(errors.seen_bark.rms_m, WithinAbs(0, 0.005));   // [2.8 mm]
    CHECK_THAT(errors.seen_wood.rms_m, WithinAbs(0, 0.006));   // [3.4 mm; the bark's own variation is in it]
    CHECK(errors.seen_bark.within_two_sigma > 0.92);           // [0.962]
    CHECK(errors.seen_wood.within_two_sigma > 0.8);            // [0.889]
    CHECK(errors.unseen_bark.within_two_sigma > 0.6);          // [0.80]
    CHECK(errors.unseen_wood.within_two_sigma > 0.5);          // [0.67]
    CHECK_THAT(log.residual_m, WithinAbs(0.002, 0.001));       // white noise and part of the correlated
    const testing::KnotErrors of_log = testing::judge_knots(log, made.truth, 0.025);
    knots.true_seen += of_log.true_seen;
    knots.found += of_log.found;
    knots.false_alarms += of_log.false_alarms;
    centreline_m += errors.centreline_rms_m / static_cast<double>(seeds.size());
    unseen_bark += errors.unseen_bark.within_two_sigma / static_cast<double>(seeds.size());
    unseen_wood += errors.unseen_wood.within_two_sigma / static_cast<double>(seeds.size());
  }
  CHECK_THAT(centreline_m, WithinAbs(0, 0.003));  // [1.9 mm]
  CHECK(unseen_bark > 0.85);                      // [0.93]
  CHECK(unseen_wood > 0.8);                       // [0.90]
  REQUIRE(knots.true_seen >= 4);
  CHECK(knots.found > 0.75 * knots.true_seen);  // over 25 mm high
  CHECK(knots.false_alarms <= 3);               // on six logs
}

TEST_CASE("scans like a phone's stay within their own uncertainty", "[fit]") {
  const auto seed = GENERATE(5U, 6U);
  CAPTURE(seed);
  const Simulation made = simulate::simulate_random(seed, simulate::depth_scanner());
  const testing::FitErrors errors = testing::against_truth(model_of(made), made.truth);
  // The bend of the scan as a whole is in it, which no fit can see. In brackets the mean of 20 other seeds.
  CHECK_THAT(errors.centreline_rms_m, WithinAbs(0, 0.016));   // [5.5 mm, of which the scan's own bend is 5]
  CHECK_THAT(errors.seen_bark.rms_m, WithinAbs(0, 0.013));    // [4.6 mm]
  CHECK_THAT(errors.seen_bark.shape_m, WithinAbs(0, 0.008));  // [2.7 mm]
  CHECK(errors.seen_bark.within_two_sigma > 0.8);             // [0.96]
  CHECK(errors.seen_wood.within_two_sigma > 0.8);             // [0.96]
}

TEST_CASE("a perfect scan of a known log gives its numbers", "[fit]") {
  simulate::LogShape shape;
  shape.length_m = 3.2;
  shape.small_end_diameter_m = 0.28;
  shape.large_end_diameter_m = 0.34;
  shape.sweep_m = 0.05;
  shape.sweep_direction_rad = 1;
  simulate::Scene scene;
  scene.position_m = {400, -300, 20};
  scene.yaw_rad = 1.1;
  simulate::Scanner scanner = coarser(simulate::perfect_scanner());
  scanner.full_coverage = true;
  const Simulation made = simulate::simulate(shape, scene, scanner, 9);
  const LogModel log = model_of(made);
  CHECK_THAT(log.length_m, WithinAbs(3.2, 0.0005));
  CHECK_THAT(log.small_end_diameter_m(), WithinAbs(0.28, 0.0005));
  CHECK_THAT(log.large_end_diameter_m(), WithinAbs(0.34, 0.0005));
  CHECK_THAT(log.sweep_m(), WithinAbs(made.truth.sweep_m(), 0.0007));  // measured 0.5 mm
  const double a = pi / 4 * 0.28 * 0.28;
  const double b = pi / 4 * 0.34 * 0.34;
  CHECK_THAT(log.volume_m3(), WithinRel(3.2 * (a + std::sqrt(a * b) + b) / 3, 0.002));
  CHECK(log.seen_share() > 0.998);  // measured 0.9998
  CHECK(log.knots.empty());
}

TEST_CASE("the same scan gives the same bytes, on one processor or all", "[fit]") {
  const Simulation made = simulate::simulate_random(7, coarser(simulate::photo_scanner()));
  const LogModel all = model_of(made);
  const OneProcessor only;
  const LogModel one = model_of(made);
  REQUIRE(one.stations.size() == all.stations.size());
  for (std::size_t i = 0; i < all.stations.size(); ++i) {
    REQUIRE(one.stations[i].x_m == all.stations[i].x_m);
    REQUIRE(one.stations[i].centre_m == all.stations[i].centre_m);
    REQUIRE(one.stations[i].bark_radius_m == all.stations[i].bark_radius_m);
    REQUIRE(one.stations[i].wood_radius_m == all.stations[i].wood_radius_m);
    REQUIRE(one.stations[i].wood_sigma_m == all.stations[i].wood_sigma_m);
    REQUIRE(one.stations[i].seen == all.stations[i].seen);
  }
  CHECK(one.frame.origin_in_scan_m == all.frame.origin_in_scan_m);
  CHECK(one.frame.scan_from_log == all.frame.scan_from_log);
  CHECK(one.length_m == all.length_m);
}
