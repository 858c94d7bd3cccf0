#pragma once
/// The cuts in words: what is sawn, what it rests on, how deep the saw is set.

#include <string>
#include <vector>

#include "solver/setup/setup.hpp"

namespace flitchwise::report {

struct Report;

/// Word of plan.json and cuts.csv: "opening", "level", "crosscut", "edging" or "cant".
std::string kind_word(solver::Cut::Kind kind);
/// "log", "top piece", "flitch 2", "cant 2", "flitch 2, length 1", "board 2a", "left edge of flitch 2".
std::string piece_words(const solver::Piece& piece);
/// "rail on its supports", "sawn face of the log", "bearers, square line across the board".
std::string rests_on_words(const solver::Cut& cut);
/// Whether those words begin with the rail.
bool lies_on_rail(const solver::Cut& cut);
/// The piece that a shorter board comes from: "top jacket", "small-end piece of cant 3".
std::string source_words(const solver::SawPlan& plan, const solver::ShortBoard& board);
/// Out of a jacket, not out of a flitch.
bool is_from_jacket(const solver::ShortBoard& board);
/// Opening or level.
bool is_level(const solver::Cut& cut);
/// Made on a cant that was turned, to saw full-length boards.
bool is_on_cant(const solver::Cut& cut);
/// The saw's depth settings in the order of use, with the cuts made at each: "171 mm for cut 1".
std::vector<std::string> depth_settings(const Report& report);
/// "3 settings, set 5 times", of what depth_settings() names; empty where the saw is set but once.
std::string settings_count(const Report& report);
/// How deep the opening cut is set beyond the normal one; empty where there is none to compare.
std::string opening_depth_words(const Report& report);

}  // namespace flitchwise::report
