#pragma once
/// Invents logs and scenes: what is not wished for is drawn from the seed, with a spread as found among
/// wind-thrown larch and spruce. The same seed and wishes give the same log on every machine, and one wish
/// more does not change the other draws.

#include <cstdint>
#include <optional>

#include "tools/simulate/log_shape.hpp"
#include "tools/simulate/scanner.hpp"
#include "tools/simulate/scene.hpp"

namespace flitchwise::simulate {

/// Fields as in LogShape; an empty one is drawn.
struct LogWishes {
  std::optional<double> length_m;              ///< drawn from 2.5 to 5
  std::optional<double> small_end_diameter_m;  ///< drawn from 0.2 to 0.45
  std::optional<double> large_end_diameter_m;  ///< drawn: 5 to 15 mm more a metre
  std::optional<double> sweep_m;               ///< drawn: up to 0.08 on a hard log
  std::optional<double> s_sweep_m;
  std::optional<double> flare_m;
  std::optional<double> waist_m;
  std::optional<double> ovality;
  std::optional<double> irregularity_m;
  std::optional<int> knots;  ///< [0, 200]
  std::optional<int> stubs;  ///< [0, 50]
  std::optional<int> lumps;  ///< [0, 200]
  std::optional<double> bark_m;
  std::optional<double> end_tilt_rad;  ///< of both ends
  std::optional<double> hardness;      ///< 0 plain and straight, 1 as bad as they come; drawn
};

/// Throws BadUse if a wish is out of range or the log that comes out is.
LogShape random_log(std::uint64_t seed, const LogWishes& wishes = {});

struct SceneWishes {
  std::optional<double> grass_m;
  std::optional<int> neighbours;  ///< [0, 4]
  std::optional<int> bearers;     ///< 2 or 3
  bool ground = true;             ///< false: the log alone, but for neighbours that are asked for
  /// All kinds of clutter, grass and neighbours at once, on slopes up to 20 degrees; see heavy_clutter().
  bool heavy_clutter = false;
};

/// A scene for a log of this length. Throws BadUse if a wish is out of range.
Scene random_scene(std::uint64_t seed, double length_m, const SceneWishes& wishes = {});

/// The scanner with its walk drawn: one or two rings, heights of 1.2 to 1.8 m, distances, number of cameras.
Scanner with_random_walk(Scanner scanner, std::uint64_t seed);

}  // namespace flitchwise::simulate
