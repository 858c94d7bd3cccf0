#pragma once
/// From one log's scan to candidate plans.

#include "tools/yard/log_job.hpp"

namespace flitchwise::yard {

/// Reads, fits and plans. Whatever is wrong with the scan is an outcome; throws BadUse for a job that is out
/// of range. The same for the same job and scan on every machine and with any number of threads.
PlannedScan plan_scan(const PlanJob& job);

}  // namespace flitchwise::yard
