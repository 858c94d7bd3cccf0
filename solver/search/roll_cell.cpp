#include "solver/search/roll_cell.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "solver/search/climb.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kFineShare = 0.5;  // of the tolerance: cells this small may prune for less than it
constexpr std::array<double, 3> kHeldShares{0.5, 0.25, 0};  // of the tolerance, tried in turn
constexpr double kStepShare = 0.1;  // table step of a cell's movement: four such steps are one start
constexpr double kFinestStep_m = 0.00005;
constexpr double kCoarsestStep_m = 0.001;
constexpr double kHardSize_m =
    0.0008;  // in cells this small a probe climbs from less than the boards it wants
constexpr double kProbeStep_m = 0.0002;
constexpr double kProbePhase_m = 0.0005;
constexpr double kHardPhase_m = 0.0002;
constexpr double kHardShare = 0.125;  // of the tolerance: what a start may lack
constexpr double kProbeClimbStep_m = 0.001;
constexpr double kProbeClimbEnd_m = 0.00002;
constexpr double kGridPlay_m = 0.0004;  // two thirds of kProbePhase_m and kProbeStep_m together
constexpr double kBoundingShare = 0.5;  // of a cell's nodes, where they are limited; the rest is for a try
constexpr double kStationsApart = 40;   // a cell that moves the surface by 1 mm looks at stations 40 mm apart

/// The nearest pitch at which a board with square ends lies in its place: only if l cos + t sin <= l + room.
/// In a place as long as the board, those within a gap of (0, about 2 t / l) do not do.
double out_of_gap(const Job& job, double pitch) {
  // Mixed stacks: that of the likeliest place; the trial itself judges each of them.
  const Place& place = job.places.front();
  const double length_m = job.lengths_m[place.length];
  const double thickness_m = job.kinds.front().thickness_m;
  const auto room_m = [&](double at) {
    const double sec = std::sqrt(1 + at * at);
    return length_m * (sec - 1) + place.spare_m * sec - thickness_m * at;
  };
  const double most = job.options.most_pitch;
  const double worst = std::min(most, thickness_m / (length_m + place.spare_m));
  const auto edge = [&](double good) {
    constexpr int kHalvings = 40;
    double bad = worst;
    for (int i = 0; i < kHalvings; ++i) {
      const double middle = (good + bad) / 2;
      (room_m(middle) < 0 ? bad : good) = middle;
    }
    return good;
  };
  if (room_m(worst) >= 0) {
    return pitch;
  }
  const double low = edge(0);
  const double high = room_m(most) < 0 ? most * 2 : edge(most);
  const double size = std::abs(pitch);
  return size <= low || size >= high ? pitch : std::copysign(size < (low + high) / 2 ? low : high, pitch);
}

/// A roll cell while its pitches are looked at.
class CellLook {
 public:
  CellLook(const Job& job, const TreeQuestion& question, const RollCell& cell, Worth known, Budget& budget)
      : job_(job),
        question_(question),
        cell_(cell),
        known_(known),
        budget_(budget),
        bounding_(budget.part_of_nodes(kBoundingShare)),
        tables_(job, cell.roll, stride_of(job, cell.size_m),
                std::clamp(kStepShare * cell.size_m, kFinestStep_m, kCoarsestStep_m)) {
    tables_.stop_at(budget.deadline());
    outcome_.tolerance_m = question.held_m;
  }

  Outcome run() {
    std::vector<PitchCell> open = cell_.pitches;
    while (!open.empty() && !bounding_.over()) {
      const PitchCell now = std::move(open.back());
      open.pop_back();
      StackAnswer answer = bound(now);
      if (answer.given_up) {
        outcome_.again.push_back(now);
      } else if (answer.worth > known_) {
        sort_in({now.pitch, std::move(answer.alive)}, answer.worth, open);
      }
    }
    // What is left keeps the cell's own bound.
    outcome_.again.insert(outcome_.again.end(), open.begin(), open.end());
    budget_.spend(bounding_.spent());
    if (best_) {
      probe(*best_, cell_.size_m < kHardSize_m, budget_);
    }
    return std::move(outcome_);
  }

 private:
  static std::size_t stride_of(const Job& job, double size_m) {
    const double apart_m = job.solid.usable_m / static_cast<double>(job.solid.stations.size() - 1);
    return static_cast<std::size_t>(std::max(1.0, std::floor(kStationsApart * size_m / apart_m)));
  }

  /// How far the ends move within a range of pitches.
  double movement_m(const Span& pitch) const { return pitch.half * job_.solid.usable_m / 2; }

  StackAnswer bound_held(const PitchCell& cell, const Open& open, double held_m) {
    ++outcome_.nodes;
    bounding_.spend();
    return most_worth(tables_, {cell.pitch, open, std::max(movement_m(cell.pitch), cell_.size_m),
                                held_m - question_.grown_m, known_});
  }

  /// A small cell is pruned for the largest tolerance that does, and the outcome's falls to that.
  StackAnswer bound(const PitchCell& cell) {
    if (std::max(movement_m(cell.pitch), cell_.size_m) > kFineShare * question_.tolerance_m) {
      return bound_held(cell, cell.open, question_.held_m);
    }
    StackAnswer answer;
    Open open = cell.open;
    for (const double share : kHeldShares) {
      const double held_m = share * question_.held_m;
      answer = bound_held(cell, open, held_m);
      if (!answer.given_up && answer.worth <= known_) {
        outcome_.tolerance_m = std::min(outcome_.tolerance_m, held_m);
      }
      if (answer.given_up || answer.worth <= known_ || held_m == 0) {
        break;
      }
      open = answer.alive;
    }
    return answer;
  }

  /// A cell that may give more: into halves, to the next split of the roll, or as small as cells get.
  void sort_in(PitchCell cell, Worth worth, std::vector<PitchCell>& open) {
    if (movement_m(cell.pitch) > cell_.size_m) {
      const double half = cell.pitch.half / 2;
      open.push_back({{cell.pitch.middle + half, half}, cell.open});
      open.push_back({{cell.pitch.middle - half, half}, std::move(cell.open)});
    } else if (cell_.size_m > question_.leaf_m()) {
      keep_alive(std::move(cell), worth);
    } else {
      probe(cell, true, bounding_);
      if (outcome_.worth > known_) {
        outcome_.again.push_back(std::move(cell));
      } else {
        ++outcome_.unresolved;
        outcome_.unresolved_bound = std::max(outcome_.unresolved_bound, worth);
      }
    }
  }

  /// The middle of a cell in which many heights are open is the likeliest to give the boards.
  void keep_alive(PitchCell cell, Worth worth) {
    double open_m = 0;
    for (const std::vector<Range>& ranges : cell.open) {
      for (const Range& range : ranges) {
        open_m += range.high_m - range.low_m;
      }
    }
    if (worth > outcome_.bound || (worth == outcome_.bound && open_m > most_open_m_)) {
      outcome_.bound = worth;
      most_open_m_ = open_m;
      best_ = cell;
    }
    outcome_.alive.push_back(std::move(cell));
  }

  /// Looks for a pose worth more near the middle of a cell. `hard`: as fine as it goes, for cells that are
  /// not split any more.
  void probe(const PitchCell& cell, bool hard, Budget& budget) {
    if (outcome_.worth > known_ || budget.over()) {
      return;
    }
    const double pitch = out_of_gap(job_, cell.pitch.middle);
    RollTables exact(job_, {cell_.roll.middle, 0}, 1, kProbeStep_m);
    exact.stop_at(budget.deadline());
    std::vector<double> shrinks_m{(hard ? kHardShare * question_.held_m : 0) - question_.grown_m};
    if (!job_.evenly_spaced()) {  // heights of mixed stacks are only told apart to the grid: leave it some
                                  // play
      shrinks_m.insert(shrinks_m.begin(), shrinks_m.front() - kGridPlay_m);
    }
    for (const double shrunk_m : shrinks_m) {
      budget.spend();
      const StackAnswer hint =
          most_worth(exact, {{pitch, 0}, cell.open, hard ? kHardPhase_m : kProbePhase_m, shrunk_m, known_});
      if (!hint.given_up && hint.worth > known_ && try_out(pitch, hint, budget)) {
        return;
      }
    }
  }

  /// Climbs from the hint's stack to as much of what it promises as it gives; keeps it if that is more than
  /// known.
  bool try_out(double pitch, const StackAnswer& hint, Budget& budget) {
    const double roll_rad = cell_.roll.middle;
    const double half_kerf_m = job_.options.kerf_m / 2 * std::sqrt(1 + pitch * pitch);
    Pose best{roll_rad, pitch, hint.phase_m - half_kerf_m + job_.solid.bench_middle_m(roll_rad), hint.stack};
    RolledLog log(job_, roll_rad);
    budget.spend();
    Worth worth = worth_at(log, best, question_.grown_m);
    while (worth < hint.worth && question_.grown_m <= 0 && !budget.over()) {
      const Worth wanted = std::max(worth, known_) + 1;
      const Climb up = climb(job_, best, wanted, {kProbeClimbStep_m, kProbeClimbEnd_m, true, true}, budget);
      if (up.margin_m < 0) {
        break;
      }
      best = up.pose;
      RolledLog there(job_, best.roll_rad);
      worth = std::max(wanted, worth_at(there, best, 0));
    }
    if (worth > known_) {
      outcome_.pose = best;
      outcome_.worth = worth;
    }
    return worth > known_;
  }

  const Job& job_;
  const TreeQuestion& question_;
  const RollCell& cell_;
  Worth known_;
  Budget& budget_;
  Budget bounding_;  // the part of the budget that bounds may spend
  RollTables tables_;
  Outcome outcome_;
  std::optional<PitchCell> best_;
  double most_open_m_ = 0;
};

}  // namespace

Outcome work_on(const Job& job, const TreeQuestion& question, const RollCell& cell, Worth known,
                Budget& budget) {
  return CellLook(job, question, cell, known, budget).run();
}

}  // namespace flitchwise::solver
