#pragma once
/// The truth as a file: see TRUTH.md.

#include <nlohmann/json.hpp>

#include "tools/simulate/truth.hpp"
#include "tools/simulate/write_scan.hpp"

namespace flitchwise::simulate {

/// The truth file's content; lengths in mm. `options` is stored as it is.
nlohmann::json truth_json(const Truth& truth, const FileFrame& file, const nlohmann::json& options);

}  // namespace flitchwise::simulate
