#pragma once
/// plan.json, and its parts that other writers share.

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// plan.json, version 1: tools/plan.schema.json documents every field.
std::string plan_json(const Report& report);

nlohmann::ordered_json scan_json(const ScanInfo& scan);
nlohmann::ordered_json log_json(const LogModel& log);

}  // namespace flitchwise::report
