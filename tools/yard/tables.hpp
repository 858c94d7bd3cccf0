#pragma once
/// The yard's tables, as CSV with a line of column names. Numbers have a decimal point whatever the locale.
/// Nothing in them depends on the machine, on time or on the number of jobs. Require: result.allocated.

#include <string>

#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// yard.csv: one line a scan: what it becomes, or why nothing.
std::string yard_csv(const solver::Order& order, const YardResult& result);
/// coverage.csv: one line a line of the order: how far it is met, and by which logs.
std::string coverage_csv(const solver::Order& order, const YardResult& result);
/// loads.csv: one line a log with its weight, those to saw first in their order, then those to keep; and the
/// weight of all up to there.
std::string loads_csv(const YardResult& result);

/// A field of a line, quoted where it has to be (RFC 4180).
std::string csv_field(const std::string& text);

// Words that the page and the command share.
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
/// Indices in result.logs: those that are sawn in their order, then those that are kept, then the others.
std::vector<std::size_t> in_order(const YardResult& result);
/// The plan that was chosen; nullptr unless the log is sawn.
const CandidatePlan* chosen_plan(const YardLog& log);

}  // namespace flitchwise::yard
