#pragma once
/// Turns and directions. Angles in radians, theta = atan2(z, y).

#include <Eigen/Core>
#include <cmath>
#include <numbers>

namespace flitchwise::simulate {

constexpr double kTwoPi = 2 * std::numbers::pi;

/// Less than half a turn, either way.
inline double turned(double angle) {
  return angle - kTwoPi * std::round(angle / kTwoPi);
}

inline Eigen::Vector2d direction_at(double theta) {
  return {std::cos(theta), std::sin(theta)};
}

}  // namespace flitchwise::simulate
