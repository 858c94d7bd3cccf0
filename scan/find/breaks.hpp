#pragma once
/// Where a log forks or is broken, and the longest sound stretch between such places.

#include <optional>
#include <vector>

#include "scan/find/track.hpp"
#include "scan/model/scan_facts.hpp"

namespace flitchwise::scan {

/// A place past which boards cannot come from the same piece.
struct Break {
  Flaw flaw = Flaw::fork;
  double begin_m = 0;  ///< along the track from its first point
  double end_m = 0;
};

/// The part of a track that is worth planning; what ends it on either side, if not the log's own end.
struct SoundStretch {
  std::vector<TrackPoint> track;
  std::optional<Flaw> front;
  std::optional<Flaw> back;
};

/// Breaks of the first of these tracks, in order; the others may be stems that leave it. `scene` tells where
/// no bark at all was seen.
std::vector<Break> find_breaks(const std::vector<std::vector<TrackPoint>>& tracks, const Scene& scene);

/// The longest stretch between the breaks, less a safety distance; the whole track if there is none.
SoundStretch longest_sound(const std::vector<TrackPoint>& track, const std::vector<Break>& breaks);

}  // namespace flitchwise::scan
