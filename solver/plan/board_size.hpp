#pragma once
/// A board's size as people write it.

#include <string>

#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// "50x150x3000" as a target of value 1: thickness, width and length in millimetres, decimals and spaces
/// allowed, x, * or the multiplication sign between them; "50x150x3000=12.5" says what one board is worth.
/// Throws BadUse with an example if the text is no such size.
Target board_size(const std::string& text);

}  // namespace flitchwise::solver
