#pragma once
/// The points of a simulated scan.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

#include "tools/simulate/scanner.hpp"
#include "tools/simulate/scene.hpp"

namespace flitchwise::simulate {

/// What a point lies on. It is not written to scan files: for tests only.
enum class Label : std::uint8_t { bark, end_face, ground, grass, bearer, neighbour, stump, floater, clutter };

/// All three arrays have the same length; the order is random.
struct ScanPoints {
  std::vector<Eigen::Vector3d> points_m;  ///< scan frame, z up
  std::vector<std::array<std::uint8_t, 3>> colours;
  std::vector<Label> labels;
};

/// Scans the site. The same site, scanner and seed give the same points.
/// Throws BadUse if the scanner is out of range.
ScanPoints take_scan(const Site& site, const Scanner& scanner, std::uint64_t seed);

}  // namespace flitchwise::simulate
