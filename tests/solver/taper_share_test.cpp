// The taper's share of both jackets, on cones where it is known.

#include "solver/search/taper_share.hpp"

#include <catch2/catch.hpp>

#include "scan/model/errors.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;

constexpr double kExact = 1e-9;

LogModel cone(double taper) {
  test::LogShape shape;
  shape.length_m = 4;
  shape.taper_m_per_m = taper;
  return test::make_log(shape, 41, 120);
}

solver::SawPlan pitched(double pitch, double roll_rad = 0) {
  solver::SawPlan plan;
  plan.status = solver::SawPlan::Status::ok;
  plan.orientation.pitch = pitch;
  plan.orientation.roll_rad = roll_rad;
  return plan;
}

}  // namespace

TEST_CASE("planes along the middle of a cone share its taper evenly", "[taper_share]") {
  const solver::TaperShare share = solver::taper_share(cone(0.006), pitched(0));
  CHECK_THAT(share.top_slope, WithinAbs(0.006, kExact));
  CHECK_THAT(share.bottom_slope, WithinAbs(0.006, kExact));
}

TEST_CASE("planes along one side of a cone leave the whole taper to the other", "[taper_share]") {
  const solver::TaperShare share = solver::taper_share(cone(0.006), pitched(0.006));
  CHECK_THAT(share.top_slope, WithinAbs(0, kExact));
  CHECK_THAT(share.bottom_slope, WithinAbs(0.012, kExact));
}

TEST_CASE("the share follows the log when it is rolled", "[taper_share]") {
  const LogModel log = test::make_log(test::random_shape(3), 61, 120);
  const solver::TaperShare as_it_lies = solver::taper_share(log, pitched(0.002));
  const solver::TaperShare rolled = solver::taper_share(test::rolled(log, 1.0), pitched(0.002, -1.0));
  constexpr double kSampled = 2e-4;  // an angle a whole number of samples from 1 rad
  CHECK_THAT(rolled.top_slope, WithinAbs(as_it_lies.top_slope, kSampled));
  CHECK_THAT(rolled.bottom_slope, WithinAbs(as_it_lies.bottom_slope, kSampled));
  CHECK_THROWS_AS(solver::taper_share(log, solver::SawPlan{}), BadUse);
}

}  // namespace flitchwise
