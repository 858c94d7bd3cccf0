#pragma once
/// What a person does at the log, in words that the short answer and the sheet share.

#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

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
/// The string or straightedge that brings the supports into one plane; empty without one.
std::string truing_words(const Report& report);
/// What the gauge feels like over a support: "just touches", "lifts the string 2 mm".
std::string gauge_feel(Units units, const solver::Support& support);

}  // namespace flitchwise::report
