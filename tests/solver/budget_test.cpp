// A search that is ended by its budget: the plan is sound, and where nodes end it, always the same.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using solver::Pattern;
using solver::SawPlan;
using solver::SearchOptions;
using solver::Target;

constexpr double kNever_s = 86400;
constexpr double kRounding_m = 1e-6;

LogModel log_of(std::uint64_t seed) {
  return test::make_log(test::random_shape(seed), 61, 90);
}

Target plank() {
  return {"50x150x2500", 0.05, 0.15, 2.5};
}

SawPlan plan_with(const LogModel& log, const std::vector<Target>& targets, SearchOptions options,
                  unsigned threads) {
  options.threads = threads;
  options.time_limit_s = kNever_s;
  return solver::search(log, targets, options);
}

/// To the last bit.
void check_same(const SawPlan& a, const SawPlan& b) {
  CHECK(a.orientation.roll_rad == b.orientation.roll_rad);
  CHECK(a.orientation.pitch == b.orientation.pitch);
  CHECK(a.orientation.height_m == b.orientation.height_m);
  CHECK(a.margin_m == b.margin_m);
  CHECK(a.proof.nodes == b.proof.nodes);
  CHECK(a.proof.upper_value == b.proof.upper_value);
  CHECK(a.proof.tolerance_m == b.proof.tolerance_m);
  CHECK(a.proof.margin_bound_m == b.proof.margin_bound_m);
  REQUIRE(a.boards.size() == b.boards.size());
  for (std::size_t i = 0; i < a.boards.size(); ++i) {
    CHECK(a.boards[i].margin_m == b.boards[i].margin_m);
    for (std::size_t corner = 0; corner < a.boards[i].corners_m.size(); ++corner) {
      CHECK((a.boards[i].corners_m.at(corner).array() == b.boards[i].corners_m.at(corner).array()).all());
    }
  }
}

}  // namespace

TEST_CASE("a search that its nodes end gives the same plan with one thread and two", "[budget]") {
  const std::vector<Target> mixed{{"50x150x2500", 0.05, 0.15, 2.5, 5}, {"25x100x1200", 0.025, 0.1, 1.2, 1}};
  struct Case {
    std::uint64_t seed;
    std::uint64_t most_nodes;
    Pattern pattern;
    std::vector<Target> targets;
  };
  for (const Case& c : {Case{7, 1, Pattern::live, {plank()}}, Case{7, 300, Pattern::live, {plank()}},
                        Case{11, 600, Pattern::live, {plank()}}, Case{13, 400, Pattern::best, {plank()}},
                        Case{13, 40, Pattern::live, mixed}}) {
    CAPTURE(c.seed, c.most_nodes);
    const LogModel log = log_of(c.seed);
    SearchOptions options;
    options.pattern = c.pattern;
    options.most_nodes = c.most_nodes;
    const SawPlan one = plan_with(log, c.targets, options, 1);
    CHECK_FALSE(one.proof.proven);  // else the nodes did not end it
    constexpr std::uint64_t kPassed = 64;
    CHECK(one.proof.nodes <= c.most_nodes + kPassed);
    REQUIRE(one.status == SawPlan::Status::ok);
    CHECK(test::worst_overhang_m(log, one) < kRounding_m);
    check_same(one, plan_with(log, c.targets, options, 2));
  }
}

TEST_CASE("a budget that is not used up changes nothing", "[budget]") {
  const LogModel log = log_of(11);
  SearchOptions options;
  options.tolerance_m = 0.002;
  const SawPlan free = plan_with(log, {plank()}, options, 2);
  REQUIRE(free.proof.proven);
  options.most_nodes = 100 * free.proof.nodes + 1000000;
  check_same(free, plan_with(log, {plank()}, options, 2));
}

TEST_CASE("more nodes never leave a weaker bound or fewer boards", "[budget]") {
  const LogModel log = log_of(3);
  int boards = 0;
  int bound = 1000;
  for (const std::uint64_t most_nodes : {1U, 200U, 2000U}) {
    CAPTURE(most_nodes);
    SearchOptions options;
    options.most_nodes = most_nodes;
    const SawPlan plan = plan_with(log, {plank()}, options, 2);
    CHECK(plan.proof.boards >= boards);
    CHECK(plan.proof.upper_bound <= bound);
    CHECK(plan.proof.upper_bound >= plan.proof.boards);
    boards = plan.proof.boards;
    bound = plan.proof.upper_bound;
  }
}

TEST_CASE("a time that ends at once still leaves a plan and an honest bound", "[budget]") {
  for (const std::uint64_t seed : {3U, 7U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    SearchOptions options;
    options.tolerance_m = 0.002;
    const SawPlan best = plan_with(log, {plank()}, options, 2);
    REQUIRE(best.status == SawPlan::Status::ok);
    options.time_limit_s = 0.001;  // less than one cell's tables take
    for (const Pattern pattern : {Pattern::live, Pattern::cant, Pattern::best}) {
      options.pattern = pattern;
      const SawPlan hasty = solver::search(log, {plank()}, options);
      REQUIRE(hasty.status == SawPlan::Status::ok);
      CHECK(test::worst_overhang_m(log, hasty) < kRounding_m);
      CHECK(test::worst_size_error_m(hasty) < kRounding_m);
      CHECK(hasty.proof.boards >= 1);
      if (pattern != Pattern::cant) {
        CHECK(hasty.proof.upper_bound >= best.proof.boards);
      }
    }
  }
}

}  // namespace flitchwise
