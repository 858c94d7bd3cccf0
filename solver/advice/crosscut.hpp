#pragma once
/// Cutting a long log in two before it is milled, so that each piece gets its own roll and its own planes.

#include <cstdint>
#include <optional>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// A log cut in two and what its pieces give, the one at the small end first.
struct CrosscutFirst {
  double cut_x_m = 0;            ///< middle of the cut, log frame
  std::vector<LogModel> pieces;  ///< see cut_out
  std::vector<SawPlan> plans;    ///< one a piece; a piece that gives nothing has a status that says so
  int boards = 0;                ///< of both
  double value = 0;              ///< of both
  bool complete = false;         ///< false: the time ended before all places were tried
};

struct CrosscutOptions {
  double time_limit_s = 2;        ///< to look for the place; (0, 3600]
  double piece_limit_s = 10;      ///< for the plan and proof of each piece at the place found; (0, 86400]
  std::uint64_t look_nodes = 0;   ///< for each piece of each place that is tried; 0: no limit
  std::uint64_t piece_nodes = 0;  ///< as piece_limit_s, in work; 0: SearchOptions::most_nodes
};

/// The best place found: coarse steps along the log first, then ever finer around the best, down to 10 mm.
/// The cut takes SearchOptions::crosscut_kerf_m. Empty if the log is too short for a board of the shortest
/// target on both sides of a cut, or if no place gives a board. Whether that is more than the whole log gives
/// is for the caller to see. Throws BadUse as `search` does.
std::optional<CrosscutFirst> best_crosscut(const LogModel& log, const std::vector<Target>& targets,
                                           const SearchOptions& options,
                                           const CrosscutOptions& crosscut = {});

}  // namespace flitchwise::solver
