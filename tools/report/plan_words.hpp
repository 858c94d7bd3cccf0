#pragma once
/// What a plan gives and how sure that is, in words.

#include <string>

#include "solver/plan/plan.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {

/// "50x150x3000 mm" as the person wrote it, "2 x 5 7/8 x 118 1/8 in".
std::string size_words(Units units, const solver::Target& target);
/// All sizes are worth the same, so that boards are counted.
bool counts_boards(const solver::SawPlan& plan);
/// What the boards are worth together; empty where they are counted.
std::string worth_words(const solver::SawPlan& plan);
/// "9 boards of 50x150x3000 mm", "11 boards: 6 of 50x150x3000 mm, 5 of 25x100x3000 mm".
std::string boards_words(Units units, const solver::SawPlan& plan);
/// How sure it is that no plan gives more.
std::string proof_words(Units units, const solver::SawPlan& plan);
std::string margin_words(Units units, const solver::SawPlan& plan);
/// Why there is no board in the plan of a search.
std::string why_none_words(Units units, const solver::SawPlan& plan);

/// "Besides, 3 shorter boards from jackets, edges and ends: 2 of 50x150x2000 mm, 1 of 50x150x1500 mm."; empty
/// where no shorter lengths were asked for.
std::string short_boards_words(Units units, const solver::SawPlan& plan);
/// Thickness, width, length in metres.
Eigen::Vector3d size_of(const solver::SawPlan& plan, const solver::ShortBoard& board);

}  // namespace flitchwise::report
