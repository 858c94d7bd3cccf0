#pragma once
/// A scan of an invented log with its truth, in one call. Used by tests and by `flitchwise simulate`.

#include <cstdint>

#include "tools/simulate/invent.hpp"
#include "tools/simulate/scan.hpp"
#include "tools/simulate/truth.hpp"
#include "tools/simulate/write_scan.hpp"

namespace flitchwise::simulate {

struct Simulation {
  ScanPoints scan;
  Truth truth;
};

/// Throws BadUse if shape, scene or scanner is out of range. The same arguments give the same result.
Simulation simulate(const LogShape& shape, const Scene& scene, const Scanner& scanner, std::uint64_t seed,
                    const TruthOptions& options = {});

/// Everything drawn from the seed: log, scene and walk.
Simulation simulate_random(std::uint64_t seed, const Scanner& scanner, const LogWishes& log = {},
                           const SceneWishes& scene = {});

}  // namespace flitchwise::simulate
