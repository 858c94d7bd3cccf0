#include "tools/simulate/simulate.hpp"

namespace flitchwise::simulate {

Simulation simulate(const LogShape& shape, const Scene& scene, const Scanner& scanner, std::uint64_t seed,
                    const TruthOptions& options) {
  const Site site = build_site(shape, scene);
  return {take_scan(site, scanner, seed), make_truth(site, scanner, seed, options)};
}

Simulation simulate_random(std::uint64_t seed, const Scanner& scanner, const LogWishes& log,
                           const SceneWishes& scene) {
  const LogShape shape = random_log(seed, log);
  return simulate(shape, random_scene(seed, shape.length_m, scene), with_random_walk(scanner, seed), seed);
}

}  // namespace flitchwise::simulate
