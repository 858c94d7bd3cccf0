#include "tools/job/pith.hpp"

#include "solver/setup/setup.hpp"

namespace flitchwise {

std::vector<PithNotMeasured> set_pith(LogModel& log, const PithByTape& pith) {
  std::vector<PithNotMeasured> not_measured;
  if (!pith.small_end && !pith.large_end) {
    return not_measured;
  }
  for (const bool large_end : {false, true}) {
    const auto& place = large_end ? pith.large_end : pith.small_end;
    if (place) {
      (large_end ? log.pith.large_end_m : log.pith.small_end_m) =
          solver::pith_by_tape(log, large_end, place->below_top_m, place->from_left_m);
    } else if (log.pith.source == Pith::Source::assumed_middle) {
      not_measured.push_back({large_end});
    }
  }
  log.pith.source = Pith::Source::given;
  return not_measured;
}

}  // namespace flitchwise
