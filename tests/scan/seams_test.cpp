/// Scans that do not fit onto themselves.

#include "scan/fit/seams.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "scan/model/errors.hpp"
#include "tests/support/against_truth.hpp"
#include "tools/simulate/seams.hpp"

namespace {

using namespace flitchwise;
using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;

std::vector<Seam> seams_of(std::uint64_t seed, const simulate::SeamError& error, bool depth = false,
                           const simulate::LogWishes& wishes = {}, const simulate::SceneWishes& scene = {}) {
  simulate::Scanner scanner = depth ? simulate::depth_scanner() : simulate::photo_scanner();
  scanner.ground_spacing_m = 0.03;
  const auto shape = simulate::random_log(seed, wishes);
  const auto site = simulate::build_site(shape, simulate::random_scene(seed, shape.length_m, scene));
  auto scan = simulate::take_scan(site, scanner, seed);
  simulate::add_seam(scan, site, error, seed);
  const OrientResult oriented = orient(testing::cloud_of(scan));
  const LogCloud log = isolate(oriented.cloud, oriented.ground);
  REQUIRE(log.status == LogCloud::Status::ok);
  const FitResult fitted = fit(log);
  REQUIRE(fitted.status == FitResult::Status::ok);
  return find_seams(log, fitted.log);
}

}  // namespace

TEST_CASE("a sound scan has no seam, whatever its bark", "[seams]") {
  const bool depth = GENERATE(false, true);
  simulate::LogWishes wishes;
  wishes.lumps = 20;  // loose bark
  wishes.knots = 15;
  wishes.stubs = 4;
  CAPTURE(depth);
  CHECK(seams_of(81, {}, depth, wishes).empty());
}

TEST_CASE("what lies against the log is no second bark", "[seams]") {
  simulate::SceneWishes scene;
  scene.heavy_clutter = true;
  // Both have a log along more than half of their side.
  const auto seed = GENERATE(std::uint64_t{9204}, std::uint64_t{9220});
  CAPTURE(seed);
  CHECK(seams_of(seed, {}, false, {}, scene).empty());
}

TEST_CASE("a surface that shows twice is found", "[seams]") {
  simulate::SeamError error;
  error.doubled_m = GENERATE(0.03, 0.045);  // 20 mm are not always told from the noise
  error.theta_rad = 1.2;
  CAPTURE(error.doubled_m);
  const std::vector<Seam> seams = seams_of(82, error);
  REQUIRE_FALSE(seams.empty());
  CHECK(spoils_the_scan(seams.front()));
}

TEST_CASE("a step where the walk does not close is found where it is", "[seams]") {
  simulate::SeamError error;
  error.step_m = 0.03;
  error.theta_rad = 0.9;
  const std::vector<Seam> seams = seams_of(83, error);
  REQUIRE_FALSE(seams.empty());
  const Seam& seam = seams.front();
  CHECK(seam.kind == Seam::Kind::step);
  CHECK_THAT(seam.theta_rad, WithinAbs(0.9, 0.25));  // the log frame is turned a little against the shape's
  CHECK_THAT(seam.apart_m, WithinAbs(0.03, 0.006));
  CHECK(seam.end_m - seam.begin_m > 1.5);
  CHECK(spoils_the_scan(seam));
}

TEST_CASE("a large seam spoils the scan, a small one does not", "[seams]") {
  CHECK(spoils_the_scan({Seam::Kind::doubled, 0.4, 2.6, 0.05, 1, 0.032}));
  CHECK_FALSE(spoils_the_scan({Seam::Kind::doubled, 0.4, 0.8, 0.05, 1, 0.012}));
}

TEST_CASE("a simulated seam out of range is refused", "[seams]") {
  const auto site = simulate::build_site({}, {});
  simulate::ScanPoints none;
  simulate::SeamError error;
  error.step_m = -1;
  CHECK_THROWS_AS(simulate::add_seam(none, site, error, 1), BadUse);
  error = {};
  error.doubled_begin = 1;
  CHECK_THROWS_AS(simulate::add_seam(none, site, error, 1), BadUse);
}
