#pragma once
/// Scenes as data for the page, whose drawing.js reads it.

#include <nlohmann/json_fwd.hpp>

#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// Its fields by name. Spots are [x, y] in millimetres, with their way aside after them where there is one;
/// Align is -1 left, 0 middle, 1 right.
nlohmann::ordered_json scene_json(const Scene& scene);

}  // namespace flitchwise::report
