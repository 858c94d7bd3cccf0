#pragma once
/// Sentences that the short answer and the sheet share, in the report's units.

#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// What the boards are worth together; empty where they are counted.
std::string worth_words(const Report& report);
/// "8 boards of 50x150x3000 mm".
std::string boards_words(const Report& report);
/// How sure it is that no plan gives more.
std::string proof_words(const Report& report);
std::string margin_words(const Report& report);
/// How to roll the log: angle, side and way along the bark.
std::string roll_words(const Report& report);
/// Whether the log is rolled at all.
bool is_rolled(const solver::SetupSheet& sheet);
/// Angle to a tenth of a degree, as a level shows it.
std::string roll_angle(const solver::SetupSheet& sheet);
/// How far a mark may be off: rounded down, as a tolerance may be used up.
std::string tolerance_words(Units units, double tolerance_m);
/// One sentence a caution, the gravest first.
std::vector<std::string> cautions(const Report& report);
/// What to see to before the first cut, one thing each.
std::vector<std::string> checks_before_start(const Report& report);
/// The saw's depth settings in the order of use, with the cuts made at each: "171 mm for cut 1".
std::vector<std::string> depth_settings(const Report& report);
/// "3 settings, set 5 times", of what depth_settings() names; empty where the saw is set but once.
std::string settings_count(const Report& report);
/// Opening or level.
bool is_level(const solver::Cut& cut);
/// Made on a cant, which is the flitch that the cut names.
bool is_on_cant(const Report& report, const solver::Cut& cut);
/// How deep the opening cut is set beyond the normal one; empty where there is none to compare.
std::string opening_depth_words(const Report& report);
/// The string or straightedge that brings the supports into one plane; empty without one.
std::string truing_words(const Report& report);
/// What the gauge feels like over a support: "just touches", "lifts the string 2 mm".
std::string gauge_feel(Units units, const solver::Support& support);

}  // namespace flitchwise::report
