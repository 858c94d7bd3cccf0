#pragma once
/// What a stage of the search may still spend: wall time, and work that is counted so that it ends at the
/// same place on every machine.

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <limits>

namespace flitchwise::solver {

/// Work is counted in nodes: a cell that is bounded or a pose that is tried. Not for use by several threads
/// at once: give each its own part.
class Budget {
 public:
  using Clock = std::chrono::steady_clock;

  /// `most_nodes`: 0 means no limit.
  Budget(double seconds, std::uint64_t most_nodes)
      : deadline_(Clock::now() + duration(seconds)), left_(most_nodes == 0 ? kEndless : most_nodes) {}

  bool out_of_time() const { return Clock::now() >= deadline_; }
  bool over() const { return left_ == 0 || out_of_time(); }
  void spend(std::uint64_t nodes = 1) {
    spent_ += nodes;
    left_ = left_ == kEndless ? kEndless : left_ - std::min(left_, nodes);
  }
  std::uint64_t spent() const { return spent_; }
  Clock::time_point deadline() const { return deadline_; }
  double seconds_left() const {
    return std::max(0.0, std::chrono::duration<double>(deadline_ - Clock::now()).count());
  }

  /// This share of what is left. What it spends is to be spent here, too, once it is done.
  Budget part(double share) const {
    Budget some = part_of_nodes(share);
    some.deadline_ = Clock::now() + duration(share * seconds_left());
    return some;
  }
  /// The same, but all of the time.
  Budget part_of_nodes(double share) const {
    Budget some = *this;
    some.spent_ = 0;
    if (left_ != kEndless && left_ > 0) {
      some.left_ = std::max<std::uint64_t>(1, static_cast<std::uint64_t>(share * static_cast<double>(left_)));
    }
    return some;
  }
  /// For each of `count` pieces of work done side by side.
  Budget each_of(std::size_t count) const {
    return part_of_nodes(1 / static_cast<double>(std::max<std::size_t>(1, count)));
  }

 private:
  static constexpr std::uint64_t kEndless = std::numeric_limits<std::uint64_t>::max();
  static constexpr double kMostSeconds = 1e7;  // what a clock can add up without running over
  static Clock::duration duration(double seconds) {
    return std::chrono::duration_cast<Clock::duration>(
        std::chrono::duration<double>(std::clamp(seconds, 0.0, kMostSeconds)));
  }
  Clock::time_point deadline_;
  std::uint64_t left_;
  std::uint64_t spent_ = 0;
};

}  // namespace flitchwise::solver
