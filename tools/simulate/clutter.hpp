#pragma once
/// Heavy clutter: all that may lie, lean or walk round a log in the forest or on a yard.

#include <vector>

#include "tools/simulate/scene.hpp"

namespace flitchwise::simulate {

/// Drawn from the scene's `clutter_seed`: a log and a stack touching the log's side, blocks against it, a
/// person who stands and one who walks, a saw, a stump, standing trees, branches over the log, a shed.
std::vector<Thing> heavy_clutter(const Scene& scene, const Ground& ground, const PosedLog& log);

/// The two stems of Scene::fork.
std::vector<Thing> fork_stems(const Scene& scene, const PosedLog& log);

}  // namespace flitchwise::simulate
