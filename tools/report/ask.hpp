#pragma once
/// What a person can do about a fact, for whoever shows it: a command names its option, a page its field.

#include <vector>

#include "tools/job/facts.hpp"

namespace flitchwise::report {

enum class Ask {
  scale_length,  ///< the log's length by tape
  scale_points,  ///< two points of the file and their true distance
  unit,          ///< of the file
  up,            ///< the axis of the file that points up
  near,          ///< a point on the log that is meant
  bark,          ///< its thickness, measured at the ends
  allow_unseen_ends,
  scan_again,
  export_again,
};

/// The likeliest first; empty where nothing is asked.
std::vector<Ask> asks_of(const Fact& fact);

}  // namespace flitchwise::report
