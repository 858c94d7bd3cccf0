#pragma once
/// The round things of a scene, and which of them is the log that is meant.

#include <optional>
#include <vector>

#include "scan/find/track.hpp"

namespace flitchwise::scan {

constexpr double kSurfaceGrid_m = 0.005;  ///< of what is looked at closely: below the noise of any phone scan

/// What stands off the ground, thinned.
Scene make_scene(const Cloud& in_scan, const std::optional<Ground>& ground);

struct Candidates {
  std::vector<std::vector<TrackPoint>>
      tracks;                            ///< the log that is meant first, then other logs, then the rest
  std::size_t logs = 0;                  ///< tracks that have a log's size and place
  std::optional<Eigen::Vector3d> rival;  ///< middle of another log that was seen as well
};

/// Looks for the likeliest thing that has a log's size, or the one at `near_m`. `fine` and `cloud` are the
/// scan at kSurfaceGrid_m and whole; all but `cloud` less its origin.
Candidates find_candidates(const Scene& scene, const Cloud& fine, const Cloud& cloud,
                           const IsolateOptions& options, const std::optional<Eigen::Vector3d>& near_m);

/// Local straight-line smoothing over half a metre, so that the track can be prolonged past its ends; places
/// that do not advance along the chord are dropped.
std::vector<TrackPoint> smoothed(const std::vector<TrackPoint>& track);

/// The track of the best seen log in a scene, empty if there is none; much quicker than `isolate`.
std::vector<TrackPoint> rough_track(const Cloud& in_scan, const std::optional<Ground>& ground,
                                    const IsolateOptions& options = {});

}  // namespace flitchwise::scan
