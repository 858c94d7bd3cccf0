#pragma once
/// Parts of plan.json that other writers share.

#include <nlohmann/json_fwd.hpp>

#include "tools/report/report.hpp"

namespace flitchwise::report {

nlohmann::ordered_json scan_json(const ScanInfo& scan);
nlohmann::ordered_json log_json(const LogModel& log);

}  // namespace flitchwise::report
