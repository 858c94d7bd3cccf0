#pragma once
/// Plausible colours of a forest scene.

#include <Eigen/Core>
#include <array>
#include <cstdint>

#include "tools/simulate/random.hpp"

namespace flitchwise::simulate {

enum class Tint { bark, bark_groove, bark_cut, wood, late_wood, pith, weathered, ground, grass };

/// Colour class of end grain at this distance from the pith: the pith itself, then ring after ring.
Tint wood_tint(double from_pith_m);

class Painter {
 public:
  explicit Painter(std::uint64_t seed);
  std::array<std::uint8_t, 3> paint(Tint tint, const Eigen::Vector3d& point_m);

 private:
  Random random_;
  RandomField patches_;  ///< lighter and darker places, 1 sigma = 1
  RandomField shade_;
  RandomField dirt_;  ///< on sawn faces
};

}  // namespace flitchwise::simulate
