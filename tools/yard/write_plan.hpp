#pragma once
/// From a chosen candidate to its files.

#include "tools/yard/log_job.hpp"

namespace flitchwise::yard {

/// Writes plan.json, sheet.pdf, plan.html and what else `flitchwise plan` writes. Throws InputError where
/// that fails.
void write_plan(const WriteJob& job);

}  // namespace flitchwise::yard
