#pragma once
/// yard.html: the yard's answer in one file for a browser, without any network.

#include <string>

#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// The page: what is missing, the order's coverage, the logs with small pictures, links to their plans, a map
/// where the scans say where the logs lie. The same for the same result. Requires: result.allocated.
std::string yard_page(const solver::Order& order, const YardResult& result);

}  // namespace flitchwise::yard
