#include "tests/support/main_job.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "solver/plan/board_size.hpp"

// The whole main job on twenty simulated scans whose truth is known exactly. The bounds are those that a
// person needs: a length to cut by, a centreline and boards that lie in the wood, gaps within the play of a
// levelling screw.
TEST_CASE("Twenty photo-like scans of logs in their scenes give plans that hold in the true wood") {
  using namespace flitchwise;
  constexpr std::uint64_t kFirstSeed = 301;  // none of these was looked at while the fit was tuned
  constexpr int kScans = 20;
  constexpr std::uint64_t kMostNodes = 6000;
  int boards = 0;
  int boards_with_truth = 0;
  int loose_centrelines = 0;
  std::vector<double> centreline_rms_m;
  std::vector<double> gap_errors_m;
  for (std::uint64_t seed = kFirstSeed; seed < kFirstSeed + kScans; ++seed) {
    const auto job = testing::judge_main_job(seed, simulate::photo_scanner(),
                                             solver::board_size("40x120x2400"), kMostNodes);
    INFO("seed " << seed);
    CHECK(std::abs(job.fit.length_m) < 0.005);
    CHECK(job.deepest_wane_m < 0.003);
    centreline_rms_m.push_back(job.fit.centreline_rms_m);
    loose_centrelines += job.fit.centreline_rms_m < 0.003 ? 0 : 1;
    boards += job.boards;
    boards_with_truth += job.boards_with_truth;
    for (const double error : job.gap_errors_m) {
      gap_errors_m.push_back(std::abs(error));
    }
    WARN("seed " << seed << ": length " << 1e3 * job.fit.length_m << " mm, centreline "
                 << 1e3 * job.fit.centreline_rms_m << " mm, wane " << 1e3 * job.deepest_wane_m
                 << " mm, boards " << job.boards << " of " << job.boards_with_truth);
  }
  std::sort(gap_errors_m.begin(), gap_errors_m.end());
  std::sort(centreline_rms_m.begin(), centreline_rms_m.end());
  REQUIRE(gap_errors_m.size() > 100);
  const double gap_95_m = gap_errors_m[gap_errors_m.size() * 95 / 100];
  WARN("gaps: 95 % within " << 1e3 * gap_95_m << " mm of " << gap_errors_m.size() << "; boards " << boards
                            << " of " << boards_with_truth << "; worst centreline "
                            << 1e3 * centreline_rms_m.back() << " mm");
  CHECK(gap_95_m < 0.004);
  CHECK(boards >= 0.9 * boards_with_truth);
  // An unseen underside can hide any shape that real logs have: one of these twenty is off by 3.2 mm.
  CHECK(loose_centrelines <= 1);
  CHECK(centreline_rms_m.back() < 0.005);
}
