#pragma once
/// Plans what the store does not hold yet.

#include <vector>

#include "tools/yard/keys.hpp"
#include "tools/yard/store.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// Fills `result.logs`, one a keyed log, with what is known of each in the end, and the figures of this run.
/// Returns false if it was stopped before all were planned.
bool plan_missing(const YardRequest& request, const YardListener& listener, Store& store,
                  const std::vector<KeyedLog>& keyed, YardResult& result);

}  // namespace flitchwise::yard
