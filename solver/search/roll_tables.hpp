#pragma once
/// The widest that a log's outlines reach over a range of rolls: see SEARCH.md, steps 4 and 5.

#include <chrono>
#include <cstddef>
#include <vector>

#include "solver/search/job.hpp"

namespace flitchwise::solver {

/// Metres: no room at all at this height.
constexpr float kOutside = 1000;

/// An interval: middle +- half.
struct Span {
  double middle = 0;
  double half = 0;
};

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
  bool is_late() const { return Clock::now() > deadline_; }

  /// Of one station.
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
  std::size_t size() const { return tables_.size(); }
  const Table& table(std::size_t i) const;
  /// Of a station, from the pivot.
  double x_m(std::size_t i) const { return job_->solid.stations[i * stride_].x_m - job_->solid.pivot_x_m; }
  const Job& job() const { return *job_; }
  const Span& roll() const { return roll_; }
  double step_m() const { return step_m_; }

 private:
  Table table_of(const Section& section) const;
  template <typename Outer>
  void draw_edge(const Table& table, const Eigen::Vector2d& under, const Eigen::Vector2d& over,
                 std::vector<float>& column, Outer outer) const;

  const Job* job_;
  Span roll_;
  std::size_t stride_;
  double step_m_;
  Clock::time_point deadline_ = Clock::time_point::max();
  Eigen::MatrixX2d directions_;        ///< of the outlines' corners from their centres, turned
  mutable std::vector<Table> tables_;  ///< empty until first asked for
};

}  // namespace flitchwise::solver
