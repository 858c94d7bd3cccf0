#pragma once
/// A setup sheet judged by the log's truth: every figure derived again from the exact surfaces of a simulated
/// log, and the cut list carried out on it.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/sawn_boards.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

/// Errors are stated less true.
struct SetupErrors {
  PlannedLog planned;
  int boards = 0;         ///< that the sheet lists
  SawnBoards as_planned;  ///< planes as in plan.json
  SawnBoards by_tape;  ///< planes set by the end marks, and edging lines by the bark's edge, on the true log
  // rail
  double least_clearance_m = 0;  ///< of the rail's underside over the true bark, listed high spots cut away
  int contacts = 0;              ///< places where it would touch bark that the sheet does not list
  // screws
  std::vector<double> gaps_seen_m;
  std::vector<double> gaps_unseen_m;
  double least_tip_m = 0;   ///< of any screw's tip above the cut
  int screws_in_cut = 0;    ///< tips below the middle of the kerf
  int screws_near_cut = 0;  ///< tips nearer to the cut than the kit's limit less 5 mm
  // end marks
  std::vector<double> heights_m;      ///< below the top, above the bottom and above a given pith, both ends
  std::vector<double> half_widths_m;  ///< left and right at the cut line, both ends
  int heights_beyond_tolerance = 0;   ///< of the marks set from the top, against the sheet's tolerance
  // the rest
  std::vector<double> diagonals_m;   ///< of the crossed strings
  std::vector<double> cut_widths_m;  ///< of the level cuts
  std::vector<double> edging_lines_m;
  std::vector<double> cant_gaps_m;       ///< of the rail on turned cants
  std::vector<double> piece_weights_kg;  ///< of what the level cuts take off
  double bark_walk_m = 0;
  double log_length_m = 0;
  double log_volume_share = 0;  ///< error as a share of the true volume
};

/// Simulates, writes a PLY, plans it once for every kit with the true bark thickness, and judges. The pith of
/// both ends is given by tape (exact) where the seed is even, else assumed. Empty where no board fits. Throws
/// std::runtime_error if the scan will not do.
std::vector<SetupErrors> judge_setups(std::uint64_t seed, const std::vector<std::filesystem::path>& kits,
                                      const solver::Target& target, std::uint64_t most_nodes,
                                      solver::Pattern pattern = solver::Pattern::live);

}  // namespace flitchwise::testing
