// What must not change a plan: threads, the side from which the log is looked at, its unit, more stations.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;
using solver::SawPlan;
using std::numbers::pi;

constexpr int kStations = 61;
constexpr int kAngles = 120;
constexpr double kSameMargin_m = 0.00005;  // margins are found to 0.01 mm, with corners within twice that
constexpr double kSampled_m = 0.0004;      // an outline of 120 corners, turned between them

solver::SearchOptions options() {
  solver::SearchOptions options;
  options.time_limit_s = 20;
  return options;
}

solver::Target plank() {
  return {"", 0.05, 0.15, 2.8};
}

/// Where a proof leaves a bracket, either end of it may be found.
void check_same_boards(const SawPlan& a, const SawPlan& b) {
  CHECK(a.proof.boards <= b.proof.upper_bound);
  CHECK(b.proof.boards <= a.proof.upper_bound);
  if (a.proof.proven && b.proof.proven) {
    CHECK(a.proof.boards == b.proof.boards);
  }
}

/// The same planes in another telling of the log give the same boards with the same room.
void check_same_planes(const LogModel& log, const SawPlan& plan, const solver::Orientation& orientation,
                       double scale = 1, double within_m = kSameMargin_m) {
  solver::Target target = plank();
  solver::SearchOptions scaled = options();
  for (double* length_m : {&target.thickness_m, &target.width_m, &target.length_m, &scaled.kerf_m,
                           &scaled.rip_kerf_m, &scaled.crosscut_kerf_m}) {
    *length_m *= scale;
  }
  const SawPlan same = solver::plan_at(log, {target}, scaled, orientation);
  CHECK(same.boards.size() == plan.boards.size());
  CHECK_THAT(same.margin_m / scale, WithinAbs(plan.margin_m, within_m));
}

LogModel with_stations_doubled(const LogModel& log) {
  LogModel dense = log;
  dense.stations.clear();
  for (std::size_t i = 0; i + 1 < log.stations.size(); ++i) {
    dense.stations.push_back(log.stations[i]);
    dense.stations.push_back(station_at(log, (log.stations[i].x_m + log.stations[i + 1].x_m) / 2));
  }
  dense.stations.push_back(log.stations.back());
  return dense;
}

LogModel scaled(LogModel log, double scale) {
  for (Station& station : log.stations) {
    station.x_m *= scale;
    station.centre_m *= scale;
    for (Eigen::VectorXd* values :
         {&station.bark_radius_m, &station.wood_radius_m, &station.bark_sigma_m, &station.wood_sigma_m}) {
      *values *= scale;
    }
  }
  for (Eigen::Vector2d* pith_m : {&log.pith.small_end_m, &log.pith.large_end_m}) {
    *pith_m *= scale;
  }
  return log;
}

test::LogShape turned(test::LogShape shape, double roll_rad) {
  shape.c_direction_rad += roll_rad;
  shape.s_direction_rad += roll_rad;
  shape.oval_direction_rad += roll_rad;
  return shape;
}

struct Planned {
  test::LogShape shape;
  LogModel log;
  SawPlan plan;
};

Planned planned(std::uint64_t seed) {
  Planned p;
  p.shape = test::random_shape(seed);
  p.log = test::make_log(p.shape, kStations, kAngles);
  p.plan = solver::search(p.log, {plank()}, options());
  REQUIRE(p.plan.status == SawPlan::Status::ok);
  return p;
}

constexpr std::uint64_t kSeeds[] = {31, 36, 42};

}  // namespace

TEST_CASE("one thread and two find the same plan to the last bit", "[symmetry]") {
  for (const std::uint64_t seed : kSeeds) {
    CAPTURE(seed);
    const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
    solver::SearchOptions threads = options();
    threads.time_limit_s = 300;
    threads.threads = 1;
    const SawPlan one = solver::search(log, {plank()}, threads);
    for (const unsigned more : {2U}) {
      threads.threads = more;
      const SawPlan plan = solver::search(log, {plank()}, threads);
      CHECK(plan.orientation.roll_rad == one.orientation.roll_rad);
      CHECK(plan.orientation.pitch == one.orientation.pitch);
      CHECK(plan.orientation.height_m == one.orientation.height_m);
      CHECK(plan.boards.size() == one.boards.size());
      CHECK(plan.margin_m == one.margin_m);
      CHECK(plan.proof.upper_bound == one.proof.upper_bound);
      CHECK(plan.proof.nodes == one.proof.nodes);
    }
  }
}

TEST_CASE("a mirrored log gives the mirrored plan", "[symmetry]") {
  for (const std::uint64_t seed : kSeeds) {
    CAPTURE(seed);
    const Planned p = planned(seed);
    const LogModel mirrored = test::mirrored(p.log);
    solver::Orientation orientation = p.plan.orientation;
    orientation.roll_rad = -orientation.roll_rad;
    check_same_planes(mirrored, p.plan, orientation);
    check_same_boards(solver::search(mirrored, {plank()}, options()), p.plan);
  }
}

TEST_CASE("a log turned by any angle gives the plan turned back", "[symmetry]") {
  for (const std::uint64_t seed : kSeeds) {
    const Planned p = planned(seed);
    for (const double roll_rad : {0.3721, -1.234, 2.9}) {
      CAPTURE(seed, roll_rad);
      const LogModel log = test::make_log(turned(p.shape, roll_rad), kStations, kAngles);
      solver::Orientation orientation = p.plan.orientation;
      orientation.roll_rad -= roll_rad;
      // The corners of the outlines lie elsewhere: the wood differs by a hair.
      if (p.plan.margin_m > kSampled_m) {
        check_same_planes(log, p.plan, orientation, 1, kSampled_m);
      }
    }
    const LogModel log = test::make_log(turned(p.shape, 1.234), kStations, kAngles);
    check_same_boards(solver::search(log, {plank()}, options()), p.plan);
  }
}

TEST_CASE("a log and boards scaled alike give the same plan", "[symmetry]") {
  for (const std::uint64_t seed : kSeeds) {
    const Planned p = planned(seed);
    for (const double scale : {0.8, 1.25}) {
      CAPTURE(seed, scale);
      const LogModel log = scaled(p.log, scale);
      solver::Orientation orientation = p.plan.orientation;
      orientation.height_m *= scale;
      // Places along the log stay 25 mm apart whatever the scale, so the best one is missed by a little more.
      constexpr double kPlaces_m = 0.0005;
      check_same_planes(log, p.plan, orientation, scale, kPlaces_m);
      solver::Target target = plank();
      solver::SearchOptions asked = options();
      for (double* length_m : {&target.thickness_m, &target.width_m, &target.length_m, &asked.kerf_m,
                               &asked.rip_kerf_m, &asked.crosscut_kerf_m, &asked.tolerance_m}) {
        *length_m *= scale;
      }
      check_same_boards(solver::search(log, {target}, asked), p.plan);
    }
  }
}

TEST_CASE("stations between the stations change nothing", "[symmetry]") {
  for (const std::uint64_t seed : kSeeds) {
    CAPTURE(seed);
    const Planned p = planned(seed);
    const LogModel dense = with_stations_doubled(p.log);
    REQUIRE(dense.stations.size() == 2 * p.log.stations.size() - 1);
    check_same_planes(dense, p.plan, p.plan.orientation);
    check_same_boards(solver::search(dense, {plank()}, options()), p.plan);
  }
}

}  // namespace flitchwise
