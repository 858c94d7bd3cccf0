#include "tools/job/pith.hpp"

#include "solver/setup/setup.hpp"

namespace flitchwise {

std::vector<std::string> set_pith(LogModel& log, const PithByTape& pith) {
  std::vector<std::string> warnings;
  if (!pith.small_end && !pith.large_end) {
    return warnings;
  }
  for (const bool large_end : {false, true}) {
    const auto& place = large_end ? pith.large_end : pith.small_end;
    if (place) {
      (large_end ? log.pith.large_end_m : log.pith.small_end_m) =
          solver::pith_by_tape(log, large_end, place->below_top_m, place->from_left_m);
    } else if (log.pith.source == Pith::Source::assumed_middle) {
      warnings.push_back(
          std::string("The pith of the ") + (large_end ? "large" : "small") +
          " end was not measured and is assumed in its middle: set that mark by the top and bottom of "
          "the end.");
    }
  }
  log.pith.source = Pith::Source::given;
  return warnings;
}

}  // namespace flitchwise
