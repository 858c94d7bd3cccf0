#pragma once
/// The whole main job on a simulated scan, judged by the truth.

#include <cstdint>

#include "solver/plan/plan.hpp"
#include "tests/support/against_truth.hpp"
#include "tools/job/plan_log.hpp"

namespace flitchwise::testing {

struct JobErrors {
  PlannedLog planned;
  FitErrors fit;
  double deepest_wane_m = 0;  ///< how far a planned board's edge sticks out of the true wood; 0 if none does
  /// Stated less true, a screw where the bark was seen, of a rail with a support every 100 mm.
  std::vector<double> gap_errors_m;
  int boards = 0;
  int boards_with_truth = 0;      ///< of the search on the true wood
  int boards_by_eye = 0;          ///< of the rule of thumb on the true wood, as if seen through the bark
  int boards_by_eye_in_scan = 0;  ///< of the same rule with the care that the plan takes: on the fitted wood
  int boards_unrolled = 0;        ///< of the search on the true wood, the log as it lies
  int boards_at_one_sigma = 0;    ///< of the search on the fitted wood less 1 sigma instead of 2
  int wane_at_one_sigma = 0;      ///< of these, boards that have wane in the true wood
  int boards_if_sure = 0;         ///< of the search on the fitted wood as if it had no uncertainty
  int wane_if_sure = 0;           ///< of these, boards that have wane
};

/// Simulates, writes a PLY, plans it with the true bark thickness, and judges. Throws std::runtime_error if
/// there is no plan. `most_nodes` bounds each search, so that the
/// load of the machine changes nothing. `with_others`: fill in boards_unrolled and those at one sigma
/// or as if sure, too.
JobErrors judge_main_job(std::uint64_t seed, const simulate::Scanner& scanner, const solver::Target& target,
                         std::uint64_t most_nodes, bool with_others = false);

/// The truth as a log model without any uncertainty.
LogModel model_of(const simulate::Truth& truth);

}  // namespace flitchwise::testing
