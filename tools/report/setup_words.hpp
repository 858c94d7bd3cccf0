#pragma once
/// What a setup has to tell, in words: one overload a kind of fact, so that a kind without words does not
/// compile.

#include <string>

#include "solver/setup/setup.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {

/// One sentence or two.
std::string words(const solver::SetupFact& fact, Units units);
/// What the kit costs and what would mend it.
std::string words(const solver::KitCosts& fact, Units units);
/// Why the opening cut goes where it goes, without a capital letter and a full stop.
std::string opening_words(const solver::SetupSheet& sheet, Units units);
/// The kit's name; of the plain kit, that it is built in.
std::string kit_words(const solver::SetupSheet& sheet);
/// "ok", "packer 12 mm", "relieve 8 mm" or "no bearing"; amounts rounded up.
std::string status_words(const solver::ScrewPoint& screw, Units units);
/// Of the support's worse screw, with the side where the two differ: "packer 12 mm left".
std::string status_words(const solver::Support& support, Units units);

}  // namespace flitchwise::report
