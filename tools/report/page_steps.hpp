#pragma once
/// The sheet's steps as data for the page.

#include <nlohmann/json_fwd.hpp>

#include "tools/report/report.hpp"

namespace flitchwise::report {

/// An array of steps in the report's units, each with its title, its topic and its items in order: heading,
/// paragraph, tick, figure, table, drawing.
nlohmann::ordered_json steps_json(const Report& report);

}  // namespace flitchwise::report
