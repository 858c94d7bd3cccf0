#pragma once
/// How well the log was isolated from a simulated scene.

#include <array>

#include "scan/find/isolate.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

constexpr std::size_t kLabels = 9;

struct IsolateErrors {
  bool right_log = false;  ///< the track runs inside the true log
  double length_m = 0;     ///< between the end planes' points, less the true one
  double small_end_m = 0;  ///< from the true face's middle to the found plane, along the true normal
  double large_end_m = 0;
  double foreign_share = 0;             ///< of the surface's points that lie on anything but the log
  double far_share = 0;                 ///< of the surface's points that do so over 30 mm off the bark
  double kept_share = 0;                ///< of the scan's bark that is in the surface, by cells of 10 mm
  std::array<double, kLabels> kinds{};  ///< foreign share by label
};

IsolateErrors isolate_errors(const scan::Cloud& cloud, const scan::LogCloud& log,
                             const simulate::Simulation& made);

}  // namespace flitchwise::testing
