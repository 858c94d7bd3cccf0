#include "search_tree.hpp"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numbers>
#include <optional>
#include <queue>

#include "search_climb.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;
using Clock = std::chrono::steady_clock;

constexpr int kFirstRolls = 24;              // roll cells at first, over half a turn
constexpr double kFirstPitchMove_m = 0.006;  // how far a pitch cell moves the ends at first
constexpr std::size_t kBatch = 16;     // cells worked on together; fixed, so that threads change nothing
constexpr double kFineShare = 0.5;     // of the tolerance: cells this small may prune for less than it
constexpr double kLeafShare = 0.0625;  // of the tolerance: cells this small are not split
constexpr std::array<double, 3> kHeldShares{0.5, 0.25, 0};  // of the tolerance, tried in turn
constexpr double kStepShare = 0.1;  // table step of a cell's movement: four such steps are one start
constexpr double kFinestStep_m = 0.00005;
constexpr double kCoarsestStep_m = 0.001;
constexpr double kProbeStep_m = 0.0002;
constexpr double kProbePhase_m = 0.0005;
constexpr double kProbeClimbStep_m = 0.001;
constexpr double kProbeClimbEnd_m = 0.0002;
constexpr double kStationsApart = 40;  // a cell that moves the surface by 1 mm looks at stations 40 mm apart

struct PitchCell {
  Span pitch;
  std::vector<Range> phases;
};

struct RollCell {
  Span roll;
  std::vector<PitchCell> pitches;
  int bound = 0;
  std::uint64_t number = 0;
};

struct LowerFirst {
  bool operator()(const RollCell& a, const RollCell& b) const {
    return a.bound != b.bound ? a.bound < b.bound : a.number > b.number;
  }
};

/// What came of one roll cell.
struct Outcome {
  std::vector<PitchCell> alive;  ///< pitch cells that need a split of the roll
  int bound = 0;                 ///< of those
  int unresolved_bound = 0;      ///< of cells too small to split that may still give more
  double tolerance_m = 0;        ///< for which the pruned cells are pruned
  std::uint64_t nodes = 0;
  std::optional<Pose> pose;  ///< gives more boards than known
  int boards = 0;
};

class Tree {
 public:
  Tree(const Job& job, const TreeQuestion& question);
  TreeAnswer run();

 private:
  Outcome work(const RollCell& cell, int known) const;
  RollTables::Answer fine_bound(const RollTables& tables, const PitchCell& cell, double phase_step_m,
                                int known, Outcome& outcome) const;
  void probe(const Span& roll, const PitchCell& cell, int known, bool hard, Outcome& outcome) const;
  double bench_middle_m(double roll) const;
  double roll_movement_m(double half) const;
  bool out_of_time() const;

  const Job& job_;
  TreeQuestion question_;
  Clock::time_point start_ = Clock::now();
  double sway_m_ = 0;  ///< surface movement for each radian of roll
  double end_m_ = 0;   ///< surface movement for each unit of pitch
  double leaf_m_ = 0;
  int most_possible_ = 0;  ///< before anything is known
};

Tree::Tree(const Job& job, const TreeQuestion& question)
    : job_(job),
      question_(question),
      end_m_(job.solid.usable_m / 2),
      leaf_m_(kLeafShare * question.tolerance_m) {
  const double across = std::ceil((2 * job.solid.reach_m) / job.target.width_m) + 1;
  const double layers = std::ceil((2 * job.solid.reach_m) / job.target.thickness_m) + 1;
  most_possible_ = static_cast<int>(static_cast<double>(job.windows) * across * layers);
  for (const Section& s : job.solid.stations) {
    const Eigen::Index n = s.radius_m.size();
    double slope = 0;
    for (Eigen::Index k = 0; k < n; ++k) {
      slope = std::max(slope,
                       std::abs(s.radius_m[(k + 1) % n] - s.radius_m[k]) * static_cast<double>(n) / (2 * pi));
    }
    sway_m_ = std::max(sway_m_, (s.centre_m - job.solid.middle_m).norm() + slope);
  }
}

double Tree::roll_movement_m(double half) const {
  return sway_m_ * half;
}

double Tree::bench_middle_m(double roll) const {
  return job_.solid.middle_m.x() * std::sin(roll) + job_.solid.middle_m.y() * std::cos(roll);
}

bool Tree::out_of_time() const {
  return std::chrono::duration<double>(Clock::now() - start_).count() > question_.time_limit_s;
}

/// Looks for a pose with more boards near the middle of a cell. `hard`: climbs even if the middle itself has
/// none.
void Tree::probe(const Span& roll, const PitchCell& cell, int known, bool hard, Outcome& outcome) const {
  const Span& pitch = cell.pitch;
  if (outcome.boards > known || std::abs(pitch.middle) > job_.options.most_pitch) {
    return;
  }
  const RollTables exact(job_, {roll.middle, 0}, 1, kProbeStep_m);
  const double shrunk_m = hard ? question_.held_m / 2 - question_.grown_m : -question_.grown_m;
  const RollTables::Answer hint =
      exact.most_boards({pitch.middle, 0}, cell.phases, kProbePhase_m, shrunk_m, known);
  if (hint.boards <= known) {
    return;
  }
  const double half_kerf_m = job_.options.kerf_m / 2 * std::sqrt(1 + pitch.middle * pitch.middle);
  Pose pose{roll.middle, pitch.middle, hint.phase_m - half_kerf_m + bench_middle_m(roll.middle)};
  RolledLog log(job_, roll.middle);
  int boards = boards_at(log, pose, question_.grown_m);
  if (boards <= known && question_.grown_m <= 0) {
    const Climb up = climb(job_, pose, known + 1, {kProbeClimbStep_m, kProbeClimbEnd_m, true, true});
    pose = up.pose;
    boards = up.margin_m >= 0 ? known + 1 : 0;
  }
  if (boards > known) {
    outcome.pose = pose;
    outcome.boards = boards;
  }
}

/// Bound of a small cell. It is pruned for the largest tolerance that does; `held_m` falls to that.
RollTables::Answer Tree::fine_bound(const RollTables& tables, const PitchCell& cell, double phase_step_m,
                                    int known, Outcome& outcome) const {
  RollTables::Answer answer;
  std::vector<Range> phases = cell.phases;
  for (const double share : kHeldShares) {
    const double held_m = share * question_.held_m;
    ++outcome.nodes;
    answer = tables.most_boards(cell.pitch, phases, phase_step_m, held_m - question_.grown_m, known);
    if (answer.boards <= known) {
      outcome.tolerance_m = std::min(outcome.tolerance_m, held_m);
      return answer;
    }
    if (held_m == 0) {
      break;
    }
    phases = answer.alive;
  }
  return answer;
}

Outcome Tree::work(const RollCell& cell, int known) const {
  Outcome outcome;
  outcome.tolerance_m = question_.held_m;
  const double roll_m = roll_movement_m(cell.roll.half);
  const double wanted_m = std::max(roll_m, leaf_m_);
  const double step_m = std::clamp(kStepShare * wanted_m, kFinestStep_m, kCoarsestStep_m);
  const double apart_m = job_.solid.usable_m / static_cast<double>(job_.solid.stations.size() - 1);
  const auto stride =
      static_cast<std::size_t>(std::max(1.0, std::floor(kStationsApart * wanted_m / apart_m)));
  const RollTables tables(job_, cell.roll, stride, step_m);
  std::vector<PitchCell> open = cell.pitches;
  std::optional<PitchCell> best;
  while (!open.empty()) {
    const PitchCell now = std::move(open.back());
    open.pop_back();
    const double move_m = now.pitch.half * end_m_;
    const double phase_step_m = std::max(move_m, wanted_m);
    RollTables::Answer answer;
    if (std::max(move_m, roll_m) > kFineShare * question_.tolerance_m) {
      ++outcome.nodes;
      answer = tables.most_boards(now.pitch, now.phases, phase_step_m, question_.held_m - question_.grown_m,
                                  known);
    } else {
      answer = fine_bound(tables, now, phase_step_m, known, outcome);
    }
    if (answer.boards <= known) {
      continue;
    }
    const Span& pitch = now.pitch;
    if (move_m > wanted_m) {
      open.push_back({{pitch.middle + pitch.half / 2, pitch.half / 2}, answer.alive});
      open.push_back({{pitch.middle - pitch.half / 2, pitch.half / 2}, answer.alive});
    } else if (roll_m > leaf_m_) {
      outcome.alive.push_back({pitch, answer.alive});
      if (answer.boards > outcome.bound) {
        outcome.bound = answer.boards;
        best = outcome.alive.back();
      }
    } else {
      probe(cell.roll, {pitch, answer.alive}, known, true, outcome);
      if (answer.boards > outcome.boards) {
        outcome.unresolved_bound = std::max(outcome.unresolved_bound, answer.boards);
      }
    }
  }
  if (best) {
    probe(cell.roll, *best, known, false, outcome);
  }
  return outcome;
}

TreeAnswer Tree::run() {
  std::priority_queue<RollCell, std::vector<RollCell>, LowerFirst> queue;
  std::uint64_t number = 0;
  const double most_pitch = job_.options.most_pitch;
  const int pitch_cells = 2 * static_cast<int>(most_pitch * end_m_ / kFirstPitchMove_m / 2) + 1;
  std::vector<PitchCell> pitches;
  const Range all{0, plane_spacing_m(job_, most_pitch)};
  for (int i = 0; i < pitch_cells; ++i) {
    pitches.push_back({{most_pitch * ((2.0 * i + 1) / pitch_cells - 1), most_pitch / pitch_cells}, {all}});
  }
  const int rolls = job_.options.as_it_lies ? 1 : kFirstRolls;
  for (int i = 0; i < rolls; ++i) {
    // Half a turn is all: turned by the other half, the same planes cut the same boards. Cell 0 lies around
    // 0.
    const double share = static_cast<double>((i + 1) / 2) * (i % 2 == 0 ? 1 : -1);
    const Span roll = rolls == 1 ? Span{0, 0} : Span{share * pi / rolls, pi / rolls / 2};
    queue.push({roll, pitches, most_possible_, number++});
  }
  TreeAnswer answer;
  answer.boards = question_.boards;
  answer.tolerance_m = question_.held_m;
  std::uint64_t cells = 0;
  while (!queue.empty() && !out_of_time() && !(question_.first_find && answer.found) &&
         (question_.most_cells == 0 || cells < question_.most_cells)) {
    std::vector<RollCell> batch;
    while (!queue.empty() && batch.size() < kBatch) {
      if (queue.top().bound > answer.boards) {
        batch.push_back(queue.top());
      }
      queue.pop();
    }
    cells += batch.size();
    std::vector<Outcome> outcomes(batch.size());
    oneapi::tbb::parallel_for(std::size_t{0}, batch.size(),
                              [&](std::size_t i) { outcomes[i] = work(batch[i], answer.boards); });
    for (std::size_t i = 0; i < batch.size(); ++i) {
      const Outcome& o = outcomes[i];
      answer.nodes += o.nodes;
      answer.tolerance_m = std::min(answer.tolerance_m, o.tolerance_m);
      answer.upper_bound = std::max(answer.upper_bound, o.unresolved_bound);
      if (o.boards > answer.boards) {
        answer.found = true;
        answer.boards = o.boards;
        answer.pose = *o.pose;
      }
      if (!o.alive.empty()) {
        const double half = batch[i].roll.half / 2;
        queue.push({{batch[i].roll.middle - half, half}, o.alive, o.bound, number++});
        queue.push({{batch[i].roll.middle + half, half}, o.alive, o.bound, number++});
      }
    }
  }
  answer.upper_bound = std::max(answer.upper_bound, answer.boards);
  if (!queue.empty()) {
    answer.upper_bound = std::max(answer.upper_bound, queue.top().bound);
  }
  return answer;
}

}  // namespace

TreeAnswer ask_tree(const Job& job, const TreeQuestion& question) {
  return Tree(job, question).run();
}

}  // namespace flitchwise::solver
