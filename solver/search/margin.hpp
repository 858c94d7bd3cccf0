#pragma once
/// Of the poses that are worth the same, the one whose wood may shrink most: see SEARCH.md, step 7.

#include "solver/search/climb.hpp"
#include "solver/search/tree.hpp"

namespace flitchwise::solver {

struct MarginAnswer {
  Pose pose;
  double margin_m = 0;
  double bound_m = 0;  ///< no pose has a larger margin; 0: not known
};

/// From a pose worth `worth`, with less rolling and fewer cuts where that costs (nearly) no margin.
MarginAnswer widest_margin(const Job& job, const Pose& start, Worth worth, Budget& budget);

}  // namespace flitchwise::solver
