#pragma once
/// Which of the points near a log's track are the log's own: a smooth outline through them, and what stands
/// off it.

#include <vector>

#include "scan/find/track.hpp"

namespace flitchwise::scan {

struct Belonging {
  std::vector<char> own;     ///< a point: 1 on the outline or on a stub, 0 on anything else
  std::vector<char> beside;  ///< a point: 1 if it is not the log's own but faces the log's way, as a second
                             ///< copy of the surface does
};

/// `near` and `normals` (zero where unknown): points near the track, in the track's frame. `up` is a unit
/// vector: ground, grass, bearers and blocks touch a log from below, so its upper side is trusted first.
Belonging sort_out(const Points& near, const Points& normals, const TrackFrame& frame,
                   const Eigen::Vector3d& up);

}  // namespace flitchwise::scan
