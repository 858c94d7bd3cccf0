#pragma once
/// Words for the shorter boards out of what the full-length boards leave.

#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// "Besides, 3 shorter boards from jackets, edges and ends: 2 of 50x150x2000 mm, 1 of 50x150x1500 mm."; empty
/// where no shorter lengths were asked for.
std::string short_boards_words(const Report& report);
/// Out of a jacket, not out of a flitch.
bool is_from_jacket(const solver::ShortBoard& board);
/// Thickness, width, length in metres.
Eigen::Vector3d size_of(const solver::SawPlan& plan, const solver::ShortBoard& board);

}  // namespace flitchwise::report
