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

/// Indices in result.logs: those that are sawn in their order, then those that are kept, then the others.
std::vector<std::size_t> in_order(const YardResult& result);
/// The plan that was chosen; nullptr unless the log is sawn.
const CandidatePlan* chosen_plan(const YardLog& log);

}  // namespace flitchwise::yard
