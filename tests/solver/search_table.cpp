// Prints how long the proof takes on a fixed suite of invented logs: a table, not a test.
//   search_table [logs a target = 10] [time limit in s = 10] [most nodes = 0, no limit]

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <vector>

#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr int kStations = 160;
constexpr int kAngles = 180;

struct Case {
  solver::Target target;
  double kerf_m;
};

struct Tally {
  std::vector<double> proof_s;
  double whole_s = 0;
  double nodes = 0;
  int proven = 0;
  int boards = 0;
};

void run(const Case& c, std::uint64_t seed, double limit_s, std::uint64_t most_nodes, Tally& tally) {
  const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
  solver::SearchOptions options;
  options.kerf_m = c.kerf_m;
  options.rip_kerf_m = c.kerf_m;
  options.time_limit_s = limit_s;
  options.most_nodes = most_nodes;
  const auto start = std::chrono::steady_clock::now();
  const solver::SawPlan plan = solver::search(log, {c.target}, options);
  const double whole_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  tally.proof_s.push_back(plan.proof.seconds);
  tally.whole_s += whole_s;
  tally.nodes += static_cast<double>(plan.proof.nodes);
  tally.boards += plan.proof.boards;
  tally.proven += plan.proof.proven ? 1 : 0;
  std::printf(
      "%-12s %3d  boards %2d of at most %2d  held to %.2f mm  proof %6.3f s  all %6.3f s  margin %5.2f mm\n",
      c.target.name.c_str(), static_cast<int>(seed), plan.proof.boards, plan.proof.upper_bound,
      plan.proof.tolerance_m * 1000, plan.proof.seconds, whole_s, plan.margin_m * 1000);
}

void print_summary(Tally tally) {
  std::sort(tally.proof_s.begin(), tally.proof_s.end());
  const auto quantile = [&](double share) {
    const auto at = static_cast<std::size_t>(share * static_cast<double>(tally.proof_s.size()));
    return tally.proof_s.at(std::min(at, tally.proof_s.size() - 1));
  };
  double sum_s = 0;
  for (const double s : tally.proof_s) {
    sum_s += s;
  }
  std::printf(
      "%d boards; proven %d of %zu; proof: median %.3f s, 75 %% %.3f s, 95 %% %.3f s, worst %.3f s; %.0f "
      "cells/s; "
      "mean of the whole search %.3f s\n",
      tally.boards, tally.proven, tally.proof_s.size(), quantile(0.5), quantile(0.75), quantile(0.95),
      tally.proof_s.back(), tally.nodes / sum_s, tally.whole_s / static_cast<double>(tally.proof_s.size()));
}

void run_all(std::uint64_t logs, double limit_s, std::uint64_t most_nodes) {
  const std::array<Case, 4> cases{
      Case{{"50x150x3000", 0.05, 0.15, 3.0}, 0.009}, Case{{"25x100x2500", 0.025, 0.1, 2.5}, 0.004},
      Case{{"100x200x3000", 0.1, 0.2, 3.0}, 0.012}, Case{{"40x120x3000", 0.04, 0.12, 3.0}, 0.008}};
  Tally tally;
  for (const Case& c : cases) {
    for (std::uint64_t seed = 1; seed <= logs; ++seed) {
      run(c, seed, limit_s, most_nodes, tally);
    }
  }
  print_summary(tally);
}

}  // namespace
}  // namespace flitchwise

int main(int argc, char** argv) {
  try {
    flitchwise::run_all(argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 10,
                        argc > 2 ? std::strtod(argv[2], nullptr) : 10,
                        argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 0);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
  return 0;
}
