// The search against an exhaustive one that shares no code with it, at 1 mm of height and a tenth of a
// degree. The table over 200 logs: tests/benchmarks/exhaustive.cpp.

#include "tests/solver/exhaustive.hpp"

#include <catch2/catch.hpp>
#include <vector>

#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr int kStations = 41;
constexpr int kAngles = 90;
constexpr std::uint64_t kFirst = 101;  // other logs than brute_force_test's
constexpr std::uint64_t kLogs = 16;

}  // namespace

TEST_CASE("an exhaustive search to 1 mm and 0.1 degree finds no plan with more boards", "[exhaustive]") {
  const std::vector<solver::Target> targets{
      {"", 0.05, 0.15, 2.8}, {"", 0.025, 0.1, 2.6}, {"", 0.1, 0.2, 3.0}, {"", 0.04, 0.12, 3.1}};
  const std::vector<double> kerfs_m{0.009, 0.004, 0.012, 0.007};
  int found_in_all = 0;
  int planned_in_all = 0;
  for (std::uint64_t seed = kFirst; seed < kFirst + kLogs; ++seed) {
    CAPTURE(seed);
    const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
    const solver::Target& target = targets[seed % targets.size()];
    solver::SearchOptions options;
    options.kerf_m = options.rip_kerf_m = kerfs_m[seed % kerfs_m.size()];
    options.time_limit_s = 60;
    if (2 * target.length_m <= log.usable_length_m()) {
      continue;  // the exhaustive search knows one length window only
    }
    const solver::SawPlan plan = solver::search(log, {target}, options);
    const test::ExhaustiveAnswer found = test::most_boards_exhaustive(log, target, options);
    CAPTURE(found.roll_rad, found.rise_m);
    CHECK(plan.proof.boards >= found.boards);
    CHECK(plan.proof.upper_bound >= found.boards);
    found_in_all += found.boards;
    planned_in_all += plan.proof.boards;
  }
  // A search that finds little would prove little: at 1 mm it comes within a few in a hundred of the plans.
  CHECK(found_in_all >= planned_in_all * 95 / 100);
}

}  // namespace flitchwise
