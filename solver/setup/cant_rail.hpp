#pragma once
/// The rail on a cant that was turned a quarter.

#include "solver/setup/cut_plan.hpp"

namespace flitchwise::solver {

/// Where the rail lies for the first cut of every length of every cant, and the saw depth of those cuts: the
/// opening cut's where that is no more work than any other, so that the saw need not be set again. Requires:
/// cuts and flitch layouts are in the sheet.
void lay_on_cants(const CutPlan& job, SetupSheet& sheet);

}  // namespace flitchwise::solver
