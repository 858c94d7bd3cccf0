#pragma once
/// Turns and directions. Angles in radians, theta = atan2(z, y).

#include <Eigen/Core>
#include <cmath>
#include <numbers>

namespace flitchwise::simulate {

constexpr double two_pi = 2 * std::numbers::pi;

/// Less than half a turn, either way.
inline double turned(double angle) {
  return angle - two_pi * std::round(angle / two_pi);
}

inline Eigen::Vector2d direction_at(double theta) {
  return {std::cos(theta), std::sin(theta)};
}

}  // namespace flitchwise::simulate
