// The rule of thumb against figures worked out by hand for round logs, and against the search.

#include "solver/advice/by_eye.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;

constexpr int kStations = 41;
constexpr int kAngles = 360;
constexpr double kMark_m = 0.0006;  // the rule's own step and the polygon

LogModel round_log(double radius_m, double taper = 0) {
  test::LogShape shape;
  shape.length_m = 3.2;
  shape.radius_m = radius_m;
  shape.taper_m_per_m = taper;
  return test::make_log(shape, kStations, kAngles);
}

/// Boards of a circle when the first flitch's outer face is as wide as a board and the others follow below.
int boards_by_hand(double radius_m, const solver::Target& target, double kerf_m) {
  int boards = 0;
  for (double top_m = std::sqrt(radius_m * radius_m - target.width_m * target.width_m / 4) - kMark_m;
       top_m - target.thickness_m > -radius_m; top_m -= target.thickness_m + kerf_m) {
    const double outer_m = std::max(std::abs(top_m), std::abs(top_m - target.thickness_m));
    if (outer_m < radius_m) {
      const double width_m = 2 * std::sqrt(radius_m * radius_m - outer_m * outer_m);
      boards += static_cast<int>((width_m + kerf_m) / (target.width_m + kerf_m));
    }
  }
  return boards;
}

}  // namespace

TEST_CASE("by eye, a round log gives what a drawing of its end gives") {
  const solver::Target target{"", 0.05, 0.15, 3.0};
  solver::SearchOptions options;
  for (const double radius_m : {0.121, 0.1455, 0.169, 0.2133}) {
    for (const double taper : {0.0, 0.006}) {
      CAPTURE(radius_m, taper);
      const solver::SawPlan plan = solver::plan_by_eye(round_log(radius_m, taper), {target}, options);
      CHECK(static_cast<int>(plan.boards.size()) == boards_by_hand(radius_m, target, options.kerf_m));
      CHECK(plan.orientation.roll_rad == 0);
      CHECK(plan.orientation.pitch == 0);
      const double face_m = std::sqrt(radius_m * radius_m - target.width_m * target.width_m / 4);
      CHECK_THAT(plan.orientation.height_m, WithinAbs(face_m + options.kerf_m / 2, kMark_m));
    }
  }
}

TEST_CASE("by eye, boards lie in the wood and are never more than the search proves possible") {
  const solver::Target target{"", 0.05, 0.15, 2.8};
  solver::SearchOptions options;
  options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
  options.most_nodes = 2000;
  int by_eye = 0;
  int searched = 0;
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    CAPTURE(seed);
    const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
    const solver::SawPlan plan = solver::plan_by_eye(log, {target}, options);
    const solver::SawPlan best = solver::search(log, {target}, options);
    CHECK(test::worst_overhang_m(log, plan) < 1e-7);
    CHECK(static_cast<int>(plan.boards.size()) <= best.proof.upper_bound);
    by_eye += static_cast<int>(plan.boards.size());
    searched += static_cast<int>(best.boards.size());
  }
  CHECK(by_eye > 0);
  CHECK(by_eye < searched);
}

TEST_CASE("by eye, a log that is too thin or too short gives nothing") {
  const solver::SawPlan thin = solver::plan_by_eye(round_log(0.07), {{"", 0.05, 0.15, 3.0}}, {});
  CHECK(thin.status == solver::SawPlan::Status::no_board_fits);
  const solver::SawPlan brief = solver::plan_by_eye(round_log(0.2), {{"", 0.05, 0.15, 3.5}}, {});
  CHECK(brief.status == solver::SawPlan::Status::log_too_short);
  CHECK_THROWS_AS(solver::plan_by_eye(round_log(0.2), {}, {}), BadUse);
}

}  // namespace flitchwise
