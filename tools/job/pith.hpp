#pragma once
/// The pith as a person measured it.

#include <optional>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/log_model.hpp"
#include "tools/job/facts.hpp"

namespace flitchwise {

/// The pith of both ends by tape, log as scanned. Metres.
struct PithByTape {
  struct Place {
    double below_top_m = 0;  ///< down from the top of the end, on the plumb line through the pith
    double from_left_m = 0;  ///< in from the left edge, level, as one faces that end
  };
  std::optional<Place> small_end;
  std::optional<Place> large_end;
};
FLITCHWISE_FIELDS(PithByTape::Place, below_top_m, from_left_m)
FLITCHWISE_FIELDS(PithByTape, small_end, large_end)

/// Puts the measured pith into the log. Returns each end whose pith was not measured although the other's
/// was. Throws BadUse if a place lies outside its end.
std::vector<PithNotMeasured> set_pith(LogModel& log, const PithByTape& pith);

}  // namespace flitchwise
