#pragma once
/// Upper bounds over cells of orientations: see SEARCH.md, steps 4 and 5, for why they hold.

#include <cstddef>
#include <vector>

#include "layer.hpp"

namespace flitchwise::solver {

/// An interval: middle +- half.
struct Span {
  double middle = 0;
  double half = 0;
};

/// Tables of one roll cell: for every station the widest that its outline can reach at each height, whatever
/// roll of the cell is taken. With half = 0 they are the sections at that roll, rounded outwards to the step.
class RollTables {
 public:
  /// `stride`: only every stride-th station is looked at (fewer constraints: still an upper bound).
  RollTables(const Job& job, const Span& roll, std::size_t stride, double step_m);

  /// How far a point of the wood's surface may move within the roll cell, beyond what a lateral shift undoes.
  double movement_m() const { return movement_m_; }
  double step_m() const { return step_m_; }

  struct Answer {
    int boards = 0;  ///< no plan in the cell gives more
    double phase_m =
        0;  ///< height at the pivot of a plane of a stack that comes up to it (middle of its kerf)
  };
  /// Most boards over all heights, pitches in the cell, yaws and places along the log, when every board is
  /// shrunk by `shrunk_m` on all sides (as in a log that is larger by it). Stops early once it is no more
  /// than `enough`.
  Answer most_boards(const Span& pitch, double shrunk_m, int enough) const;

 private:
  friend class StackBound;
  struct Table {
    double x_m = 0;      ///< from the pivot
    double z_low_m = 0;  ///< lowest and highest height of its centre within the cell
    double z_high_m = 0;
    double y_low_m = 0;  ///< the same sideways
    double y_high_m = 0;
    double bottom_m = 0;        ///< height of the first entry above the centre
    std::vector<float> low_m;   ///< least y of the outline within [bottom + i step, bottom + (i + 1) step]
    std::vector<float> high_m;  ///< largest y there
  };
  Table table_of(const Section& section, const Span& roll);

  const Job* job_;
  double step_m_;
  double movement_m_ = 0;
  std::vector<Table> tables_;
};

}  // namespace flitchwise::solver
