#pragma once
/// The advice's part of plan.json.

#include <nlohmann/json.hpp>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// See "advice" in tools/plan.schema.json.
nlohmann::ordered_json advice_json(const Advice& advice, const solver::SawPlan& plan);

}  // namespace flitchwise::report
