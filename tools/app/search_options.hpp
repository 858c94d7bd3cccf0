#pragma once
/// What the person wants from the log, as the command line says it.

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "solver/plan/plan.hpp"
#include "tools/job/dry_size.hpp"

namespace flitchwise {

/// In the person's units: millimetres, degrees, words.
struct SearchWords {
  std::vector<std::string> boards;
  std::vector<std::string> dry;  ///< boards wanted dry and planed
  double moisture_percent = 18;
  std::string pattern = "live";
  std::vector<double> roll_only_deg;
  double keep_pith_out_mm = 0;
  std::string most_grain_slope;  ///< "1:12"
  std::string wane;              ///< "10%"
  bool as_it_lies = false;
  double sigmas = 2;
  double time_limit_s = 30;
  std::vector<double> short_lengths_mm;
};

void add_search_options(CLI::App& command, SearchWords& words);
/// Those of them that say how a log is cut up, and not into what: the yard has its order for that.
void add_cutting_options(CLI::App& command, SearchWords& words);

/// All throw BadUse that names the option, what was written and what may be.
std::vector<GreenTarget> green_targets_of(const SearchWords& words, const std::string& species);
/// The green sizes of the dry boards first, then the boards.
std::vector<solver::Target> targets_of(const SearchWords& words, const std::vector<GreenTarget>& green);
/// 0 where none is allowed.
double wane_share_of(const SearchWords& words);
/// Kerfs are left to the caller.
solver::SearchOptions search_options_of(const SearchWords& words);

}  // namespace flitchwise
