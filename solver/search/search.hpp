#pragma once
/// The search for the plane of the first cut: see solver/SEARCH.md for the reduction and the bound.

#include <cstdint>
#include <optional>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// The plan whose full-length boards of `targets` are worth most (are most, if all are worth the same); among
/// those the one with the largest margin. Deterministic for a given input whatever the thread count, unless
/// the time limit ends the proof. Throws BadUse if targets or options are out of range or the model is
/// broken.
SawPlan search(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options = {});

/// The boards of one given orientation whose topmost plane lies where it says: the best stack below it, each
/// flitch with its best yaw. With a cant in the pattern: at most one, as in every plan.
SawPlan plan_at(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options,
                const Orientation& orientation);

/// A short look at a changed question: how much a log gives, without a proof and without the widest margin.
struct QuickSearch {
  double known_value = 0;   ///< only plans worth more are of interest
  bool first_find = false;  ///< any of them will do
  double seconds = 1;       ///< wall time; SearchOptions::most_nodes holds, too
  /// Of the search tree, which ends at the same place on every machine; 0: no limit.
  std::uint64_t most_cells = 0;
};

struct QuickAnswer {
  std::optional<SawPlan> plan;  ///< worth more than known; its proof holds nothing but its own boards
  std::uint64_t nodes = 0;      ///< that it took
};

/// Deterministic unless the time ends it. Throws BadUse as `search` does.
QuickAnswer search_quick(const LogModel& log, const std::vector<Target>& targets,
                         const SearchOptions& options, const QuickSearch& quick);

}  // namespace flitchwise::solver
