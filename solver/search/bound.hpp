#pragma once
/// Upper bounds over cells of orientations: see SEARCH.md, steps 4 and 5, for why they hold.

#include <chrono>
#include <cstddef>
#include <vector>

#include "solver/search/evaluate.hpp"

namespace flitchwise::solver {

/// Metres: no room at all at this height.
constexpr float kOutside = 1000;

/// An interval: middle +- half.
struct Span {
  double middle = 0;
  double half = 0;
};

/// Heights at the pivot, above the line through the middles of the sections, of a layer's lower face.
struct Range {
  double low_m = 0;
  double high_m = 0;
};
/// Where layers may lie in a plan that is worth more than what is known. Evenly spaced planes: one entry, the
/// phases of the stack. Else the heights of the layers, kind by kind.
using Open = std::vector<std::vector<Range>>;

/// Tables of one roll cell: for every station the widest that its outline can reach at each height, whatever
/// roll of the cell is taken. With half = 0 they are the sections at that roll, rounded outwards to the step.
/// Tables are made when first asked for: not for use by several threads at once.
class RollTables {
 public:
  /// `stride`: only every stride-th station is looked at (fewer constraints: still an upper bound).
  RollTables(const Job& job, const Span& roll, std::size_t stride, double step_m);

  /// After this, a bound that is under way is given up.
  using Clock = std::chrono::steady_clock;
  void stop_at(Clock::time_point deadline) { deadline_ = deadline; }

  struct Answer {
    bool given_up = false;  ///< out of time: nothing below holds
    Worth worth = 0;        ///< no plan in the cell is worth more
    double phase_m = 0;     ///< lower face of the lowest layer of a stack that comes up to it
    Stack stack;            ///< that stack, counted from the phase
    Open alive;             ///< what may be worth more than `enough`
  };
  /// Most over all stacks in `open`, pitches in the cell, yaws and places along the log, when every board is
  /// shrunk by `shrunk_m` on all sides (as in a log that is larger by it). Stops early once it is no more
  /// than `enough`. Layers' heights are told apart to `step_m`.
  Answer most_worth(const Span& pitch, const Open& open, double step_m, double shrunk_m, Worth enough) const;

 private:
  friend class StackBound;
  struct Table {
    double x_m = 0;      ///< from the pivot
    double z_low_m = 0;  ///< lowest and highest height of its centre within the cell
    double z_high_m = 0;
    double y_low_m = 0;  ///< the same sideways
    double y_high_m = 0;
    double pith_y_low_m = 0;  ///< the pith line within the cell
    double pith_y_high_m = 0;
    double pith_z_low_m = 0;
    double pith_z_high_m = 0;
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
  Clock::time_point deadline_ = Clock::time_point::max();
  Eigen::MatrixX2d directions_;        ///< of the outlines' corners from their centres, turned
  mutable std::vector<Table> tables_;  ///< empty until first asked for
};

}  // namespace flitchwise::solver
