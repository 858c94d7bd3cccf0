#pragma once
/// Which of the planned logs are sawn, and how.

#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// Sets state, choice and place in the order of sawing of every planned log, the allocation and what is
/// short.
void allocate_logs(const YardRequest& request, YardResult& result);

}  // namespace flitchwise::yard
