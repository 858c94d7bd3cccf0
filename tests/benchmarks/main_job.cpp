/// Table of the whole job on simulated scans, judged by their truth: main_job photo|depth FIRST_SEED COUNT
/// TxWxL NODES.

#include "tests/support/main_job.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "solver/plan/board_size.hpp"

int main(int argc, char** argv) {
  using namespace flitchwise;
  const bool depth = argc > 1 && std::string(argv[1]) == "depth";
  const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  const std::uint64_t count = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 5;
  const solver::Target target = solver::board_size(argc > 4 ? argv[4] : "40x120x2400");
  int boards = 0;
  int with_truth = 0;
  int by_eye = 0;
  int by_eye_in_scan = 0;
  int unrolled = 0;
  int one_sigma = 0;
  int one_sigma_wane = 0;
  int if_sure = 0;
  int if_sure_wane = 0;
  int broken = 0;
  std::vector<double> gaps;
  // Five proofs of six end before; time would make the load count.
  const std::uint64_t most_nodes = argc > 5 ? std::strtoull(argv[5], nullptr, 10) : 20000;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    try {
      const auto start = std::chrono::steady_clock::now();
      const auto e = testing::judge_main_job(
          seed, depth ? simulate::depth_scanner() : simulate::photo_scanner(), target, most_nodes, true);
      std::vector<double> g;
      for (const double error : e.gap_errors_m) g.push_back(std::abs(error));
      std::sort(g.begin(), g.end());
      gaps.insert(gaps.end(), g.begin(), g.end());
      boards += e.boards;
      with_truth += e.boards_with_truth;
      by_eye += e.boards_by_eye;
      by_eye_in_scan += e.boards_by_eye_in_scan;
      unrolled += e.boards_unrolled;
      one_sigma += e.boards_at_one_sigma;
      one_sigma_wane += e.wane_at_one_sigma;
      if_sure += e.boards_if_sure;
      if_sure_wane += e.wane_if_sure;
      broken += e.deepest_wane_m > 0 ? 1 : 0;
      std::printf(
          "%4llu length %5.1f centre %4.1f wane %4.1f gap95 %4.1f boards %d (bound %d, %s) of %d, by eye %d "
          "(%d), "
          "unrolled %d, one sigma %d (%d with wane), if sure %d (%d), margin %.1f, %.1f s\n",
          static_cast<unsigned long long>(seed), 1e3 * e.fit.length_m, 1e3 * e.fit.centreline_rms_m,
          1e3 * e.deepest_wane_m, g.empty() ? 0 : 1e3 * g[g.size() * 95 / 100], e.boards,
          e.planned.plan.proof.upper_bound, e.planned.plan.proof.proven ? "proven" : "open",
          e.boards_with_truth, e.boards_by_eye, e.boards_by_eye_in_scan, e.boards_unrolled,
          e.boards_at_one_sigma, e.wane_at_one_sigma, e.boards_if_sure, e.wane_if_sure,
          1e3 * e.planned.plan.margin_m,
          std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    } catch (const std::exception& error) {
      std::printf("%4llu %s\n", static_cast<unsigned long long>(seed), error.what());
    }
    std::fflush(stdout);
  }
  std::sort(gaps.begin(), gaps.end());
  std::printf("boards %d of %d (%.1f %%), gaps 95th percentile %.2f mm of %zu\n", boards, with_truth,
              100.0 * boards / std::max(1, with_truth), gaps.empty() ? 0 : 1e3 * gaps[gaps.size() * 95 / 100],
              gaps.size());
  std::printf("plans with wane anywhere %d\n", broken);
  std::printf(
      "inside one sigma %d (%.1f %%), %d of them with wane; as if the fit were sure %d, %d with wane\n",
      one_sigma, 100.0 * one_sigma / std::max(1, with_truth), one_sigma_wane, if_sure, if_sure_wane);
  std::printf("by eye %d: the plans give %+.1f %%, perfect knowledge %+.1f %%, and as it lies %+.1f %%\n",
              by_eye, 100.0 * (boards - by_eye) / std::max(1, by_eye),
              100.0 * (with_truth - by_eye) / std::max(1, by_eye),
              100.0 * (unrolled - by_eye) / std::max(1, by_eye));
  std::printf("by eye with the same care, in the scan, %d: the plans give %+.1f %%\n", by_eye_in_scan,
              100.0 * (boards - by_eye_in_scan) / std::max(1, by_eye_in_scan));
}
