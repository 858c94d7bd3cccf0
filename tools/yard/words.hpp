#pragma once
/// What a yard's tables, its page and its command tell, in words.

#include <string>

#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// "saw", "keep", "no board fits", ...
std::string state_words(YardLog::State state);
/// What befell the log, or what its scan lacks; empty where all is well.
std::string message_words(const YardLog& log, const report::Hint& hint = {});
/// "8 of 50x150x3000, 2 of 25x100x3000".
std::string boards_words(const solver::Order& order, const std::vector<int>& boards);
/// "4 more of 50x150x3000: a straight log of ... would do"; empty for a line of the order that is met.
std::string missing_words(const solver::Order& order, const YardResult& result, std::size_t line);
/// "cut in two 2140 mm from the small end": what is done with the log before the first
/// cut; empty if nothing.
std::string first_words(const CandidatePlan& plan);
/// What the yard gives of the order, in one sentence.
std::string allocation_words(const solver::Allocation& allocation);
/// How sure that choice is.
std::string proof_words(const solver::Allocation& allocation);
/// "4 more of 50x150x3000: a straight log of about 320 mm small end under bark, 3050 mm long, would do".
std::string shortage_words(const solver::Order& order, const solver::Shortage& shortage);

}  // namespace flitchwise::yard
