#pragma once
/// One log from scan to plan and setup, as `flitchwise plan` does it: plan_log() of the library
/// flitchwise::plan, and report::write_report() for its files.

#include "plan/plan_log.hpp"  // IWYU pragma: export
