#pragma once
/// Boards that are wanted dry and planed, and the green size to saw for them.

#include <string>

#include "solver/plan/plan.hpp"
#include "tools/job/facts.hpp"

namespace flitchwise {

struct GreenTarget {
  solver::Target target;  ///< green, rough
  GreenSize size;         ///< how it was worked out
};

/// `text`: "45x145x3000", dry and planed in mm, or "nominal 2x6x3000", an American softwood size (dry size by
/// PS 20-20, Table 3) with its length in mm. `species`: as find_species knows it, empty if not known. The
/// length is sawn as it is wanted: along the grain wood shrinks by 0.1 to 0.2 % only (Wood Handbook,
/// FPL-GTR-190, p. 4-5). Throws BadUse with an example if the text is no such size.
GreenTarget green_target(const std::string& text, const std::string& species, double moisture_percent);

}  // namespace flitchwise
