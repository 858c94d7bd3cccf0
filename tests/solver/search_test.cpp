// Properties of plans: they hold for every log.

#include "solver/search/search.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include "scan/model/errors.hpp"
#include "solver/search/tolerance.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;
using solver::SawPlan;
using solver::SearchOptions;
using solver::Target;

constexpr int kStations = 81;
constexpr int kAngles = 120;
constexpr double kRounding_m = 1e-6;

LogModel log_of(std::uint64_t seed) {
  return test::make_log(test::random_shape(seed), kStations, kAngles);
}

Target plank() {
  return {"50x150x2500", 0.05, 0.15, 2.5};
}

SearchOptions quick() {
  SearchOptions options;
  options.time_limit_s = 300;
  options.tolerance_m = 0.002;
  return options;
}

LogModel shrunk(const LogModel& log, double by_m) {
  LogModel small = log;
  for (Station& station : small.stations) {
    station.wood_radius_m.array() -= by_m;
  }
  return small;
}

void check_whole(const LogModel& log, const SawPlan& plan) {
  REQUIRE(plan.status == SawPlan::Status::ok);
  CHECK(test::worst_overhang_m(log, plan) < kRounding_m);
  CHECK(test::worst_size_error_m(plan) < kRounding_m);
  CHECK(test::least_plane_distance_m(plan) > plan.options.kerf_m / 2 - kRounding_m);
  CHECK(test::least_gap_m(plan) > std::min(plan.options.kerf_m, plan.options.rip_kerf_m) - kRounding_m);
  CHECK(plan.planes.size() == plan.flitches.size() + 1);
  CHECK(plan.proof.boards == static_cast<int>(plan.boards.size()));
  CHECK(plan.proof.upper_bound >= plan.proof.boards);
  double least = std::numeric_limits<double>::infinity();
  for (const solver::Board& board : plan.boards) {
    least = std::min(least, board.margin_m);
  }
  CHECK_THAT(plan.margin_m, WithinAbs(least, 0));
}

int count_at(const LogModel& log, const SawPlan& plan, solver::Orientation orientation) {
  return static_cast<int>(solver::plan_at(log, plan.targets, plan.options, orientation).boards.size());
}

}  // namespace

TEST_CASE("every board lies in the wood, keeps the kerfs and has its size") {
  for (std::uint64_t seed = 101; seed < 105; ++seed) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    check_whole(log, solver::search(log, {plank()}, quick()));
  }
}

TEST_CASE("a long log takes several lengths end to end, each with its own yaw") {
  test::LogShape shape;
  shape.length_m = 5.2;
  shape.c_sweep_m = 0.08;
  const LogModel log = test::make_log(shape, kStations, kAngles);
  const SawPlan plan = solver::search(log, {plank()}, quick());
  check_whole(log, plan);
  bool first = false;
  bool second = false;
  bool own_yaw = false;
  for (const solver::Board& board : plan.boards) {
    first = first || board.window == 0;
    second = second || board.window == 1;
  }
  for (const solver::Flitch& flitch : plan.flitches) {
    REQUIRE(flitch.yaw.size() == 2);
    own_yaw = own_yaw || std::abs(flitch.yaw[0] - flitch.yaw[1]) > 0.005;
  }
  CHECK(first);
  CHECK(second);
  CHECK(own_yaw);
}

TEST_CASE("a log exactly as long as the board still gives boards") {
  test::LogShape shape;
  for (const double spare_m : {0.0, 0.0015}) {
    CAPTURE(spare_m);
    shape.length_m = 2.5 + spare_m;
    const LogModel log = test::make_log(shape, kStations, kAngles);
    const SawPlan plan = solver::search(log, {plank()}, quick());
    check_whole(log, plan);
    CHECK(plan.boards.size() == 4);  // the circle gives no more: see closed_forms_test.cpp
  }
}

TEST_CASE("boards keep clear of both ends where the log is long enough") {
  test::LogShape shape;
  shape.taper_m_per_m = 0.01;  // boards would rather lie at the thick end
  for (const auto& [spare_m, free_m] : {std::pair(0.3, 0.015), std::pair(0.03, 0.006)}) {
    CAPTURE(spare_m);
    shape.length_m = 2.5 + spare_m;
    const LogModel log = test::make_log(shape, kStations, kAngles);
    const SawPlan plan = solver::search(log, {plank()}, quick());
    REQUIRE_FALSE(plan.boards.empty());
    for (const solver::Board& board : plan.boards) {
      for (const Eigen::Vector3d& corner : board.corners_m) {
        CHECK(corner.x() > free_m);
        CHECK(corner.x() < log.usable_length_m() - free_m);
      }
    }
  }
}

TEST_CASE("of plans with equal boards and margins one that needs no rolling is taken") {
  const LogModel round = test::make_log({}, kStations, 360);  // every roll is as good
  const SawPlan plan = solver::search(round, {plank()}, quick());
  check_whole(round, plan);
  CHECK(plan.boards.size() > 1);
  CHECK(plan.orientation.roll_rad == 0);
  SearchOptions resting = quick();  // it can rest on two sides only
  resting.roll_only_rad = {0.8, -0.3};
  CHECK_THAT(solver::search(round, {plank()}, resting).orientation.roll_rad, WithinAbs(-0.3, 1e-9));
}

TEST_CASE("one and two threads give the same plan") {
  for (const std::uint64_t seed : {7U, 11U, 13U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    SearchOptions one = quick();
    one.threads = 1;
    SearchOptions two = quick();
    two.threads = 2;
    const SawPlan a = solver::search(log, {plank()}, one);
    const SawPlan b = solver::search(log, {plank()}, two);
    CHECK(a.orientation.roll_rad == b.orientation.roll_rad);
    CHECK(a.orientation.pitch == b.orientation.pitch);
    CHECK(a.orientation.height_m == b.orientation.height_m);
    CHECK(a.proof.nodes == b.proof.nodes);
    CHECK(a.proof.upper_bound == b.proof.upper_bound);
    CHECK(a.margin_m == b.margin_m);
    CHECK(a.boards.size() == b.boards.size());
  }
}

TEST_CASE("a log that is turned or mirrored gives as many boards") {
  for (const std::uint64_t seed : {3U, 8U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    const SawPlan plan = solver::search(log, {plank()}, quick());
    std::vector<LogModel> same{test::mirrored(log)};
    for (const double roll : {0.4, 1.7, -2.9}) {
      same.push_back(test::rolled(log, roll));
    }
    for (const LogModel& other : same) {
      const SawPlan again = solver::search(other, {plank()}, quick());
      // Where the proof leaves a bracket, either end of it may be found.
      CHECK(again.proof.boards <= plan.proof.upper_bound);
      CHECK(plan.proof.boards <= again.proof.upper_bound);
      if (plan.proof.proven && again.proof.proven) {
        CHECK(again.proof.boards == plan.proof.boards);
      }
    }
  }
}

TEST_CASE("as it lies, the log is not rolled, and rolling never costs a board") {
  const LogModel log = log_of(4);
  SearchOptions lying = quick();
  lying.as_it_lies = true;
  const SawPlan plan = solver::search(log, {plank()}, lying);
  check_whole(log, plan);
  CHECK(plan.orientation.roll_rad == 0);
  CHECK(plan.proof.boards <= solver::search(log, {plank()}, quick()).proof.upper_bound);
}

TEST_CASE("the log is never rolled further than a quarter turn") {
  for (const std::uint64_t seed : {2U, 6U}) {
    const SawPlan plan = solver::search(log_of(seed), {plank()}, quick());
    CHECK(std::abs(plan.orientation.roll_rad) <= std::numbers::pi / 2 + 1e-9);
  }
}

TEST_CASE(
    "a log smaller by the margin all round still gives the plan, one smaller by half as much again does "
    "not") {
  // Boards grown by m on every side move their corners by up to m sqrt(2), so the log may shrink by m to m
  // sqrt(2).
  constexpr double kDiagonal = 1.4143;
  // The radius is not the distance across the surface on oval sections.
  constexpr double kOval_m = 0.0003;
  for (const std::uint64_t seed : {1U, 5U, 9U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    const SawPlan plan = solver::search(log, {plank()}, quick());
    REQUIRE(plan.status == SawPlan::Status::ok);
    const auto boards_if_smaller = [&](double by_m) {
      return count_at(shrunk(log, by_m), plan, plan.orientation);
    };
    CHECK(boards_if_smaller(std::max(0.0, plan.margin_m - kOval_m)) == plan.proof.boards);
    CHECK(boards_if_smaller(kDiagonal * plan.margin_m + kOval_m) < plan.proof.boards);
  }
}

TEST_CASE("plan_at lays the same boards as the search that found the planes") {
  const LogModel log = log_of(10);
  const SawPlan plan = solver::search(log, {plank()}, quick());
  const SawPlan again = solver::plan_at(log, {plank()}, plan.options, plan.orientation);
  check_whole(log, again);
  CHECK(again.boards.size() == plan.boards.size());
  CHECK_THAT(again.margin_m, WithinAbs(plan.margin_m, 1e-4));
  CHECK_THAT(again.orientation.height_m, WithinAbs(plan.orientation.height_m, 1e-9));
}

TEST_CASE("planes above the log are left out, planes through nothing give no board") {
  const LogModel log = log_of(10);
  const SawPlan plan = solver::plan_at(log, {plank()}, quick(), {0, 0, 1.0});
  REQUIRE(plan.status == SawPlan::Status::ok);
  CHECK(plan.orientation.height_m < 0.3);
  CHECK(plan.planes.front().point_m.z() < 0.3);
  const SawPlan none = solver::plan_at(log, {plank()}, quick(), {0, 0, -1.0});
  CHECK(none.status == SawPlan::Status::no_board_fits);
}

TEST_CASE("a height mark that is off by less than the tolerance costs no board") {
  for (const std::uint64_t seed : {2U, 3U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    const SawPlan plan = solver::search(log, {plank()}, quick());
    const solver::HeightTolerance off = solver::height_tolerance(log, plan);
    CHECK(off.small_end_m >= plan.margin_m - 1e-4);
    CHECK(off.large_end_m >= plan.margin_m - 1e-4);
    for (const double direction : {1.0, -1.0}) {
      const double at_small = direction * off.small_end_m * 0.95;
      solver::Orientation moved = plan.orientation;
      moved.height_m += at_small / 2;
      moved.pitch -= at_small / log.usable_length_m();
      CHECK(count_at(log, plan, moved) >= plan.proof.boards);
    }
  }
}

TEST_CASE("a log too short or too thin is told with the figures") {
  test::LogShape shape;
  shape.radius_m = 0.075;
  const LogModel log = test::make_log(shape, kStations, kAngles);
  const SawPlan thin = solver::search(log, {plank()}, quick());
  CHECK(thin.status == SawPlan::Status::no_board_fits);
  REQUIRE(thin.why_none);
  const auto& no_place = std::get<solver::NoPlace>(*thin.why_none);
  CHECK_FALSE(no_place.by_a_hair);
  CHECK_THAT(no_place.thickness_m, WithinAbs(0.05, 1e-9));
  REQUIRE(no_place.widest_m);
  CHECK_THAT(*no_place.widest_m, WithinAbs(2 * std::sqrt(0.075 * 0.075 - 0.025 * 0.025), 0.001));
  CHECK(thin.boards.empty());
  CHECK(thin.proof.boards == 0);
  const SawPlan none = solver::search(log, {{"", 0.2, 0.05, 2.5}}, quick());
  REQUIRE(none.why_none);
  CHECK(std::get<solver::NoPlace>(*none.why_none).widest_m == 0);
  const SawPlan short_log = solver::search(log, {{"", 0.05, 0.1, 4.5}}, quick());
  CHECK(short_log.status == SawPlan::Status::log_too_short);
  REQUIRE(short_log.why_none);
  CHECK_THAT(std::get<solver::LogTooShort>(*short_log.why_none).whole_m, WithinAbs(4, 1e-9));
}

TEST_CASE("targets and options out of range are a caller's mistake") {
  const LogModel log = log_of(1);
  const auto rejects = [&](const Target& target, const SearchOptions& options) {
    CHECK_THROWS_AS(solver::search(log, {target}, options), BadUse);
    CHECK_THROWS_AS(solver::plan_at(log, {target}, options, {}), BadUse);
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double bad : {0.0, -0.05, nan, 100.0}) {
    rejects({"", bad, 0.15, 2.5}, {});
    rejects({"", 0.05, bad, 2.5}, {});
    rejects({"", 0.05, 0.15, bad}, {});
  }
  for (const double bad : {-0.001, 0.3, nan}) {
    SearchOptions options;
    options.kerf_m = bad;
    rejects(plank(), options);
    options = {};
    options.rip_kerf_m = bad;
    rejects(plank(), options);
    options = {};
    options.most_pitch = bad;
    rejects(plank(), options);
    options = {};
    options.tolerance_m = bad;
    rejects(plank(), options);
  }
  LogModel broken = log;
  broken.stations[3].wood_radius_m[5] = nan;
  CHECK_THROWS_AS(solver::search(broken, {plank()}, {}), BadUse);
  CHECK_THROWS_AS(solver::plan_at(log, {plank()}, {}, {nan, 0, 0}), BadUse);
  CHECK_THROWS_AS(solver::height_tolerance(log, SawPlan{}), BadUse);
}

}  // namespace flitchwise
