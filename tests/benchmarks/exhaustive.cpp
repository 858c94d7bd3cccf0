/// The search against the exhaustive one of the tests, on many logs: exhaustive [first seed = 1] [count =
/// 200].

#include "tests/solver/exhaustive.hpp"

#include <cstdio>
#include <cstdlib>
#include <vector>

#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

int main(int argc, char** argv) {
  using namespace flitchwise;
  const std::uint64_t first = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1;
  const std::uint64_t count = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 200;
  const std::vector<solver::Target> targets{
      {"", 0.05, 0.15, 2.8}, {"", 0.025, 0.1, 2.6}, {"", 0.1, 0.2, 3.0}, {"", 0.04, 0.12, 3.1}};
  const std::vector<double> kerfs_m{0.009, 0.004, 0.012, 0.007};
  int logs = 0;
  int planned = 0;
  int found_in_all = 0;
  int fewer = 0;
  int bound_below = 0;
  int proven = 0;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const LogModel log = test::make_log(test::random_shape(seed), 41, 90);
    const solver::Target& target = targets[seed % targets.size()];
    if (2 * target.length_m <= log.usable_length_m()) {
      continue;
    }
    solver::SearchOptions options;
    options.kerf_m = options.rip_kerf_m = kerfs_m[seed % kerfs_m.size()];
    const solver::SawPlan plan = solver::search(log, {target}, options);
    const test::ExhaustiveAnswer found = test::most_boards_exhaustive(log, target, options);
    ++logs;
    planned += plan.proof.boards;
    found_in_all += found.boards;
    fewer += plan.proof.boards < found.boards ? 1 : 0;
    bound_below += plan.proof.upper_bound < found.boards ? 1 : 0;
    proven += plan.proof.proven ? 1 : 0;
    if (plan.proof.boards != found.boards) {
      std::printf("%4llu plan %d of at most %d, exhaustive %d\n", static_cast<unsigned long long>(seed),
                  plan.proof.boards, plan.proof.upper_bound, found.boards);
      std::fflush(stdout);
    }
  }
  std::printf("%d logs: plans %d boards, exhaustive %d; plan with fewer %d, bound below %d, proven %d\n",
              logs, planned, found_in_all, fewer, bound_below, proven);
}
