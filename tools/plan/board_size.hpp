#pragma once
/// Board sizes as people write them.

#include <string>

#include "flitchwise/solver/plan.hpp"

namespace flitchwise {

/// "50x150x3000": thickness, width and length in millimetres, decimals and spaces allowed, x, * or the
/// multiplication sign between them; "50x150x3000=12.5" says what one board is worth (1 without it). Throws
/// BadUse with an example if the text is no such size.
solver::Target board_size(const std::string& text);

}  // namespace flitchwise
