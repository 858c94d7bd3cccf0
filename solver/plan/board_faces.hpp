#pragma once
/// The sides of a board by its corners, which lie as Board::corners_m says.

#include <Eigen/Core>
#include <array>
#include <cstddef>

namespace flitchwise::solver {

using Corners = std::array<Eigen::Vector3d, 8>;
using Face = std::array<std::size_t, 4>;
inline constexpr Face kSmallEnd{0, 1, 2, 3};
inline constexpr Face kLargeEnd{4, 5, 6, 7};
inline constexpr Face kLeft{0, 3, 4, 7};
inline constexpr Face kRight{1, 2, 5, 6};
inline constexpr Face kUpper{2, 3, 6, 7};
inline constexpr Face kLower{0, 1, 4, 5};

inline Eigen::Vector3d middle_of(const Corners& corners, const Face& face) {
  return (corners[face[0]] + corners[face[1]] + corners[face[2]] + corners[face[3]]) / 4;
}

}  // namespace flitchwise::solver
