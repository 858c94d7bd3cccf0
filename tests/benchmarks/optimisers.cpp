/// The search against two general-purpose global optimisers of NLopt, each given the same time for the same
/// question (most boards over roll, pitch and offset): optimisers [logs a target = 10].

#include <nlopt.h>

#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <numbers>

#include "solver/search/evaluate.hpp"
#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr int kStations = 160;
constexpr int kAngles = 180;
constexpr double kWorkers = 2;  // the search runs on two cores, an optimiser on one

struct Case {
  solver::Target target;
  double kerf_m;
};

/// Boards of the endless stack at (roll, pitch, phase); remembers the most.
struct Boards {
  const solver::Job& job;
  int most = 0;
  long calls = 0;

  static double of(unsigned, const double* x, double*, void* self) {
    auto& boards = *static_cast<Boards*>(self);
    solver::RolledLog log(boards.job, x[0]);
    const solver::Pose pose{x[0], x[1], x[2], solver::endless_stack(boards.job)};
    const auto found = static_cast<int>(solver::worth_at(log, pose, 0));
    boards.most = std::max(boards.most, found);
    ++boards.calls;
    return found;
  }
};

Boards optimise(const solver::Job& job, nlopt_algorithm algorithm, double seconds) {
  Boards boards{job};
  const double spacing_m = solver::spacing_m(job, 0);
  const std::array<double, 3> low{-std::numbers::pi / 2, -job.options.most_pitch, 0};
  const std::array<double, 3> high{std::numbers::pi / 2, job.options.most_pitch, spacing_m};
  std::array<double, 3> x{0, 0, spacing_m / 2};
  nlopt_srand(1);
  nlopt_opt opt = nlopt_create(algorithm, 3);
  nlopt_set_lower_bounds(opt, low.data());
  nlopt_set_upper_bounds(opt, high.data());
  nlopt_set_max_objective(opt, Boards::of, &boards);
  nlopt_set_maxtime(opt, seconds);
  double value = 0;
  nlopt_optimize(opt, x.data(), &value);
  nlopt_destroy(opt);
  return boards;
}

struct Tally {
  int boards = 0;
  int misses = 0;
  void add(int found, int best) {
    boards += found;
    misses += found < best ? 1 : 0;
  }
};

void run_all(std::uint64_t logs) {
  const std::array<Case, 4> cases{
      Case{{"50x150x3000", 0.05, 0.15, 3.0}, 0.009}, Case{{"25x100x2500", 0.025, 0.1, 2.5}, 0.004},
      Case{{"100x200x3000", 0.1, 0.2, 3.0}, 0.012}, Case{{"40x120x3000", 0.04, 0.12, 3.0}, 0.008}};
  Tally search;
  Tally direct;
  Tally crs;
  int count = 0;
  for (const Case& c : cases) {
    for (std::uint64_t seed = 1; seed <= logs; ++seed, ++count) {
      const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
      solver::SearchOptions options;
      options.kerf_m = options.rip_kerf_m = c.kerf_m;
      options.time_limit_s = 10;
      const solver::SawPlan plan = solver::search(log, {c.target}, options);
      const double seconds = kWorkers * plan.proof.seconds;
      const solver::Job job = solver::make_job(log, {c.target}, options);
      const Boards d = optimise(job, NLOPT_GN_DIRECT_L, seconds);
      const Boards r = optimise(job, NLOPT_GN_CRS2_LM, seconds);
      const int best = std::max({plan.proof.boards, d.most, r.most});
      search.add(plan.proof.boards, best);
      direct.add(d.most, best);
      crs.add(r.most, best);
      std::printf("%-12s %3d  %.2f s  search %2d  DIRECT-L %2d (%ld looks)  CRS2 %2d (%ld looks)\n",
                  c.target.name.c_str(), static_cast<int>(seed), seconds, plan.proof.boards, d.most, d.calls,
                  r.most, r.calls);
      std::fflush(stdout);
    }
  }
  std::printf("boards of %d logs (misses): search %d (%d), DIRECT-L %d (%d), CRS2 %d (%d)\n", count,
              search.boards, search.misses, direct.boards, direct.misses, crs.boards, crs.misses);
}

}  // namespace
}  // namespace flitchwise

int main(int argc, char** argv) {
  flitchwise::run_all(argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 10);
}
