#pragma once
/// Upper bounds over cells of orientations: see SEARCH.md, steps 4 and 5, for why they hold.

#include <cstddef>
#include <vector>

#include "layer.hpp"

namespace flitchwise::solver {

/// Metres: no room at all at this height.
constexpr float kOutside = 1000;

/// An interval: middle +- half.
struct Span {
  double middle = 0;
  double half = 0;
};

/// Stack phases: heights at the pivot, above the line through the middles of the sections, of a layer's lower
/// face.
struct Range {
  double low_m = 0;
  double high_m = 0;
};

/// Tables of one roll cell: for every station the widest that its outline can reach at each height, whatever
/// roll of the cell is taken. With half = 0 they are the sections at that roll, rounded outwards to the step.
/// Tables are made when first asked for: not for use by several threads at once.
class RollTables {
 public:
  /// `stride`: only every stride-th station is looked at (fewer constraints: still an upper bound).
  RollTables(const Job& job, const Span& roll, std::size_t stride, double step_m);

  struct Answer {
    int boards = 0;            ///< no plan in the cell gives more
    double phase_m = 0;        ///< a stack phase that comes up to it
    std::vector<Range> alive;  ///< phases that may give more than `enough`
  };
  /// Most boards over all phases in `phases`, pitches in the cell, yaws and places along the log, when every
  /// board is shrunk by `shrunk_m` on all sides (as in a log that is larger by it). Stops early once it is no
  /// more than `enough`. Phases are told apart to `phase_step_m`.
  Answer most_boards(const Span& pitch, const std::vector<Range>& phases, double phase_step_m,
                     double shrunk_m, int enough) const;

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
  Table table_of(const Section& section) const;
  template <typename Outer>
  void draw_edge(const Table& table, const Eigen::Vector2d& under, const Eigen::Vector2d& over,
                 std::vector<float>& column, Outer outer) const;
  const Table& table(std::size_t i) const;
  double x_m(std::size_t i) const { return job_->solid.stations[i * stride_].x_m - job_->solid.pivot_x_m; }

  const Job* job_;
  Span roll_;
  std::size_t stride_;
  double step_m_;
  Eigen::MatrixX2d directions_;        ///< of the outlines' corners from their centres, turned
  mutable std::vector<Table> tables_;  ///< empty until first asked for
};

}  // namespace flitchwise::solver
