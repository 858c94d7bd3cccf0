#pragma once
/// What stands beside a plan: what sawing by eye gives, what keeps the next board away, and what would gain
/// it, in words.

#include <optional>
#include <string>
#include <vector>

#include "solver/plan/plan.hpp"
#include "tools/job/advise.hpp"

namespace flitchwise::report {

struct Report;

/// "By eye 8 boards, this plan 10."; empty without that figure.
std::string by_eye_words(const Report& report);
/// One sentence a thing: the next board's missing wood, each change that gains, the cross-cut if it gains,
/// and whether time or work ended it. In the report's units.
std::vector<std::string> limit_words(const Report& report);
/// "upper left": a direction from the middle of the log, in the bench frame, as seen from the small end.
std::string side_words(double theta_rad);
/// "Cut the log in two first, 3100 mm from the small end: 14 boards instead of 11 (8 and 6)."
std::string crosscut_words(const Report& report, const CrosscutAdvice& crosscut);

}  // namespace flitchwise::report
