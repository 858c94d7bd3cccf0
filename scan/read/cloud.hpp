#pragma once
/// Our own small point cloud. PCL's types stay in the adapter files of scan/src.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

namespace flitchwise::scan {

using Colour = std::array<std::uint8_t, 3>;  ///< red, green, blue

/// Points as float offsets from a double origin, so that map coordinates (millions of metres) keep their
/// millimetres. Every point is finite.
struct Cloud {
  Eigen::Vector3d origin = Eigen::Vector3d::Zero();
  std::vector<Eigen::Vector3f>
      points;                   ///< relative to `origin`; file units until the scale is settled, then metres
  std::vector<Colour> colours;  ///< empty, or one a point

  bool empty() const { return points.empty(); }
  std::size_t size() const { return points.size(); }
  Eigen::Vector3d at(std::size_t i) const { return origin + points[i].cast<double>(); }
};

}  // namespace flitchwise::scan
