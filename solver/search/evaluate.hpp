#pragma once
/// The exact worth of one pose of the stack: its boards and its margin.

#include <cstddef>
#include <map>
#include <vector>

#include "solver/search/layer.hpp"

namespace flitchwise::solver {

/// One layer of a stack.
struct Lay {
  std::size_t kind = 0;  ///< index in Job::kinds
  double low_m = 0;      ///< its lower face above the plane at Pose::phase_m, square to the planes
};
using Stack = std::vector<Lay>;  ///< from the bottom; never overlapping, a kerf or more apart

/// How the cut planes lie: one of them, or the middle of a kerf, passes through height phase_m (bench-frame
/// z) at the pivot.
struct Pose {
  double roll_rad = 0;
  double pitch = 0;
  double phase_m = 0;
  Stack stack;
};

/// Every layer of the first kind that may touch the wood when planes lie all one spacing apart, one of them
/// within a spacing of the middle of the log.
Stack endless_stack(const Job& job);

/// Layers by their index in the stack -> the place of each window, as it was found best before.
using Places = std::map<std::size_t, std::vector<std::size_t>>;

/// Distance of neighbouring planes, square to them, around a layer of this kind.
double spacing_m(const Job& job, std::size_t kind);
/// The layer without its kerfs.
Slab slab_of(const Job& job, const Pose& pose, const Lay& lay);

/// What a layer gives when its boards must fit grown by `grown_m`. With `places`, windows stay where they are
/// in the nearest layer that it knows. Requires: log is turned to pose.roll_rad.
std::vector<Strip> strips_of(RolledLog& log, const Pose& pose, std::size_t lay, double grown_m,
                             const Places* places = nullptr);
Worth worth_of(const std::vector<Strip>& strips);
/// The same for the whole stack.
Worth worth_at(RolledLog& log, const Pose& pose, double grown_m, const Places* places = nullptr);

/// The best place of every window in every layer that gives a board.
Places best_places(RolledLog& log, const Pose& pose, double grown_m);

/// Largest m for which the stack is still worth `worth` when all boards are grown by m, to
/// kMarginPrecision_m; minus infinity unless it is above `above_m`.
double margin_at(RolledLog& log, const Pose& pose, Worth worth, double above_m, const Places& places);
constexpr double kMarginPrecision_m = 1e-5;

/// Largest value from `from` for which `holds`, which is monotone, to kMarginPrecision_m. Requires:
/// holds(from).
template <typename Holds>
double largest(double from, double most, Holds holds) {
  constexpr double kFirstStep_m = 0.001;  // margins are a few millimetres: doubling from here is quick
  double step = kFirstStep_m;
  double good = from;
  double bad = from + step;
  while (bad < most && holds(bad)) {
    good = bad;
    step *= 2;
    bad = good + step;
  }
  while (bad - good > kMarginPrecision_m) {
    const double middle = (good + bad) / 2;
    (holds(middle) ? good : bad) = middle;
  }
  return good;
}

/// The best stack whose topmost plane lies at the pose's phase, without wood left between its layers; at most
/// one cant.
Stack stack_below(RolledLog& log, const Pose& pose);

}  // namespace flitchwise::solver
