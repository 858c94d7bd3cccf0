#include "solver/search/tree.hpp"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <queue>

#include "solver/search/climb.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr double kFirstSize_m = 0.006;  // how far the surface moves within the first cells
constexpr double kMostFirstRolls = 32;
constexpr std::size_t kPitchesTogether = 32;  // of one roll, in one piece of work
constexpr std::size_t kBatch = 16;     // cells worked on together; fixed, so that threads change nothing
constexpr double kFineShare = 0.5;     // of the tolerance: cells this small may prune for less than it
constexpr double kLeafShare = 0.0625;  // of the tolerance: cells this small are not split
constexpr std::array<double, 3> kHeldShares{0.5, 0.25, 0};  // of the tolerance, tried in turn
constexpr double kStepShare = 0.1;  // table step of a cell's movement: four such steps are one start
constexpr double kFinestStep_m = 0.00005;
constexpr double kCoarsestStep_m = 0.001;
constexpr std::size_t kMostUnresolved = 100;  // then no more cells are tried: the log is a borderline case
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

struct PitchCell {
  Span pitch;
  Open open;
};

struct RollCell {
  Span roll;
  std::vector<PitchCell> pitches;
  double size_m = 0;  ///< pitch is split until it moves the ends by no more, the roll likewise
  Worth bound = 0;
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
  std::vector<PitchCell> again;  ///< pitch cells to be looked at again, now that more boards are known
  Worth bound = 0;               ///< of the alive ones
  std::size_t unresolved = 0;    ///< cells too small to split that may still give more
  Worth unresolved_bound = 0;    ///< of cells too small to split that may still give more
  double tolerance_m = 0;        ///< for which the pruned cells are pruned
  std::uint64_t nodes = 0;
  std::optional<Pose> pose;  ///< worth more than known
  Worth worth = 0;
};

/// A board with square ends lies in its place only if l cos + t sin <= l + room: in a place as long as the
/// board, pitches within a gap of (0, about 2 t / l) do not do.
class PitchGap {
 public:
  explicit PitchGap(const Job& job) {
    // Mixed stacks: that of the likeliest place; the trial itself judges each of them.
    const Place& place = job.places.front();
    const double length_m = job.lengths_m[place.length];
    const double thickness_m = job.kinds.front().thickness_m;
    const auto room_m = [&](double pitch) {
      const double sec = std::sqrt(1 + pitch * pitch);
      return length_m * (sec - 1) + place.spare_m * sec - thickness_m * pitch;
    };
    const double most = job.options.most_pitch;
    const double worst = std::min(most, thickness_m / (length_m + place.spare_m));
    if (room_m(worst) < 0) {
      low_ = zero_of(room_m, 0, worst);
      high_ = room_m(most) < 0 ? most * 2 : zero_of(room_m, most, worst);
    }
  }
  /// The nearest pitch that does; may lie on the other side of the gap.
  double leave(double pitch) const {
    const double size = std::abs(pitch);
    if (size <= low_ || size >= high_) {
      return pitch;
    }
    return std::copysign(size < (low_ + high_) / 2 ? low_ : high_, pitch);
  }

 private:
  template <typename Room>
  static double zero_of(const Room& room_m, double good, double bad) {
    constexpr int kHalvings = 40;
    for (int i = 0; i < kHalvings; ++i) {
      const double middle = (good + bad) / 2;
      (room_m(middle) < 0 ? bad : good) = middle;
    }
    return good;
  }
  double low_ = 0;
  double high_ = 0;
};

class Tree {
 public:
  Tree(const Job& job, const TreeQuestion& question, Budget& budget);
  TreeAnswer run();

 private:
  std::vector<Span> first_rolls() const;
  Open everywhere() const;
  Outcome work(const RollCell& cell, Worth known, Budget& budget) const;
  RollTables::Answer fine_bound(const RollTables& tables, const PitchCell& cell, double step_m, Worth known,
                                Outcome& outcome, Budget& budget) const;
  void probe(const Span& roll, const PitchCell& cell, Worth known, bool hard, Outcome& outcome,
             Budget& budget) const;
  Climb tried(const Span& roll, double pitch, const RollTables::Answer& hint, Worth known, Worth& worth,
              Budget& budget) const;
  double bench_middle_m(double roll) const;
  double roll_movement_m(double half) const;
  void fall_back(TreeAnswer& answer) const;

  const Job& job_;
  TreeQuestion question_;
  PitchGap pitch_gap_;
  Budget& budget_;
  double sway_m_ = 0;  ///< surface movement for each radian of roll
  double end_m_ = 0;   ///< surface movement for each unit of pitch
  double leaf_m_ = 0;
  Worth most_possible_ = 0;  ///< before anything is known
};

Tree::Tree(const Job& job, const TreeQuestion& question, Budget& budget)
    : job_(job),
      question_(question),
      pitch_gap_(job),
      budget_(budget),
      end_m_(job.solid.usable_m / 2),
      leaf_m_(kLeafShare * question.tolerance_m) {
  // As many layers as the thinnest kind gives, each as wide as the log.
  double thinnest_m = std::numeric_limits<double>::infinity();
  Worth most_in_layer = 0;
  for (std::size_t kind = 0; kind < job.kinds.size(); ++kind) {
    thinnest_m = std::min(thinnest_m, spacing_m(job, kind));
    for (const Layout& layout : job.layouts) {
      Worth worth = 0;
      for (const Window& window : layout.windows) {
        const MenuSteps& steps = job.kinds[kind].steps[window.length];
        worth += steps.worth.empty() ? 0 : steps.worth.back();
      }
      most_in_layer = std::max(most_in_layer, worth);
    }
  }
  const double layers = std::ceil((2 * job.solid.reach_m) / thinnest_m) + 1;
  most_possible_ = most_in_layer * static_cast<Worth>(layers) * (job.all_layouts ? 1 : 2);
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

/// Where a layer may lie, before anything is ruled out.
Open Tree::everywhere() const {
  if (job_.evenly_spaced()) {
    return {{{0, spacing_m(job_, 0) * std::sqrt(1 + job_.options.most_pitch * job_.options.most_pitch)}}};
  }
  const double reach_m = job_.solid.reach_m + job_.solid.middle_m.norm() + question_.held_m +
                         job_.options.most_pitch * job_.solid.usable_m / 2;
  Open open;
  for (const LayerKind& kind : job_.kinds) {
    open.push_back({{-reach_m - kind.thickness_m, reach_m}});
  }
  return open;
}

/// The hint's stack, climbed to as much of what it promises as it gives.
Climb Tree::tried(const Span& roll, double pitch, const RollTables::Answer& hint, Worth known, Worth& worth,
                  Budget& budget) const {
  const double half_kerf_m = job_.options.kerf_m / 2 * std::sqrt(1 + pitch * pitch);
  Climb best{{roll.middle, pitch, hint.phase_m - half_kerf_m + bench_middle_m(roll.middle), hint.stack}};
  RolledLog log(job_, roll.middle);
  budget.spend();
  worth = worth_at(log, best.pose, question_.grown_m);
  while (worth < hint.worth && question_.grown_m <= 0 && !budget.over()) {
    const Worth wanted = std::max(worth, known) + 1;
    const Climb up =
        climb(job_, best.pose, wanted, {kProbeClimbStep_m, kProbeClimbEnd_m, true, true}, budget);
    if (up.margin_m < 0) {
      break;
    }
    best = up;
    RolledLog there(job_, best.pose.roll_rad);
    worth = std::max(wanted, worth_at(there, best.pose, 0));
  }
  return best;
}

/// Looks for a pose worth more near the middle of a cell. `hard`: as fine as it goes, for cells that are not
/// split any more.
void Tree::probe(const Span& roll, const PitchCell& cell, Worth known, bool hard, Outcome& outcome,
                 Budget& budget) const {
  if (outcome.worth > known || budget.over()) {
    return;
  }
  const double pitch = pitch_gap_.leave(cell.pitch.middle);
  RollTables exact(job_, {roll.middle, 0}, 1, kProbeStep_m);
  exact.stop_at(budget.deadline());
  std::vector<double> shrinks_m{(hard ? kHardShare * question_.held_m : 0) - question_.grown_m};
  if (!job_.evenly_spaced()) {  // heights of mixed stacks are only told apart to the grid: leave it some play
    shrinks_m.insert(shrinks_m.begin(), shrinks_m.front() - kGridPlay_m);
  }
  for (const double shrunk_m : shrinks_m) {
    budget.spend();
    const RollTables::Answer hint =
        exact.most_worth({pitch, 0}, cell.open, hard ? kHardPhase_m : kProbePhase_m, shrunk_m, known);
    if (hint.given_up || hint.worth <= known) {
      continue;
    }
    Worth worth = 0;
    const Climb best = tried(roll, pitch, hint, known, worth, budget);
    if (worth > known) {
      outcome.pose = best.pose;
      outcome.worth = worth;
      return;
    }
  }
}

/// Bound of a small cell. It is pruned for the largest tolerance that does; `held_m` falls to that.
RollTables::Answer Tree::fine_bound(const RollTables& tables, const PitchCell& cell, double step_m,
                                    Worth known, Outcome& outcome, Budget& budget) const {
  RollTables::Answer answer;
  Open open = cell.open;
  for (const double share : kHeldShares) {
    const double held_m = share * question_.held_m;
    ++outcome.nodes;
    budget.spend();
    answer = tables.most_worth(cell.pitch, open, step_m, held_m - question_.grown_m, known);
    if (answer.given_up) {
      return answer;
    }
    if (answer.worth <= known) {
      outcome.tolerance_m = std::min(outcome.tolerance_m, held_m);
      return answer;
    }
    if (held_m == 0) {
      break;
    }
    open = answer.alive;
  }
  return answer;
}

Outcome Tree::work(const RollCell& cell, Worth known, Budget& budget) const {
  Outcome outcome;
  outcome.tolerance_m = question_.held_m;
  const double wanted_m = cell.size_m;
  const double step_m = std::clamp(kStepShare * wanted_m, kFinestStep_m, kCoarsestStep_m);
  const double apart_m = job_.solid.usable_m / static_cast<double>(job_.solid.stations.size() - 1);
  const auto stride =
      static_cast<std::size_t>(std::max(1.0, std::floor(kStationsApart * wanted_m / apart_m)));
  RollTables tables(job_, cell.roll, stride, step_m);
  tables.stop_at(budget.deadline());
  std::vector<PitchCell> open = cell.pitches;
  std::optional<PitchCell> best;
  double most_open_m = 0;
  Budget bounding = budget.part_of_nodes(kBoundingShare);
  while (!open.empty()) {
    if (bounding.over()) {  // what is left keeps the cell's own bound
      outcome.again.insert(outcome.again.end(), open.begin(), open.end());
      break;
    }
    const PitchCell now = std::move(open.back());
    open.pop_back();
    const double move_m = now.pitch.half * end_m_;
    const double height_step_m = std::max(move_m, wanted_m);
    RollTables::Answer answer;
    if (std::max(move_m, wanted_m) > kFineShare * question_.tolerance_m) {
      ++outcome.nodes;
      bounding.spend();
      answer =
          tables.most_worth(now.pitch, now.open, height_step_m, question_.held_m - question_.grown_m, known);
    } else {
      answer = fine_bound(tables, now, height_step_m, known, outcome, bounding);
    }
    if (answer.given_up) {
      outcome.again.push_back(now);
      continue;
    }
    if (answer.worth <= known) {
      continue;
    }
    const Span& pitch = now.pitch;
    if (move_m > wanted_m) {
      open.push_back({{pitch.middle + pitch.half / 2, pitch.half / 2}, answer.alive});
      open.push_back({{pitch.middle - pitch.half / 2, pitch.half / 2}, answer.alive});
    } else if (wanted_m > leaf_m_) {
      outcome.alive.push_back({pitch, answer.alive});
      // The middle of a cell in which many heights are open is the likeliest to give the boards.
      double open_m = 0;
      for (const std::vector<Range>& ranges : answer.alive) {
        for (const Range& range : ranges) {
          open_m += range.high_m - range.low_m;
        }
      }
      if (answer.worth > outcome.bound || (answer.worth == outcome.bound && open_m > most_open_m)) {
        outcome.bound = answer.worth;
        most_open_m = open_m;
        best = outcome.alive.back();
      }
    } else {
      probe(cell.roll, {pitch, answer.alive}, known, true, outcome, bounding);
      if (outcome.worth > known) {
        outcome.again.push_back({pitch, answer.alive});
      } else {
        ++outcome.unresolved;
        outcome.unresolved_bound = std::max(outcome.unresolved_bound, answer.worth);
      }
    }
  }
  budget.spend(bounding.spent());
  if (best) {
    probe(cell.roll, *best, known, cell.size_m < kHardSize_m, outcome, budget);
  }
  return outcome;
}

/// Half a turn is all: turned by the other half, the same planes cut the same boards. Cell 0 lies around 0.
std::vector<Span> Tree::first_rolls() const {
  if (job_.options.as_it_lies) {
    return {{0, 0}};
  }
  if (!job_.options.roll_only_rad.empty()) {
    std::vector<Span> rolls;
    for (const double roll_rad : job_.options.roll_only_rad) {
      rolls.push_back({roll_rad, 0});
    }
    return rolls;
  }
  const double wanted = std::ceil(roll_movement_m(pi / 2) / kFirstSize_m);
  const int count = static_cast<int>(std::clamp(wanted, 1.0, kMostFirstRolls));
  std::vector<Span> rolls;
  for (int i = 0; i < count; ++i) {
    const int place = (i + 1) / 2 * (i % 2 == 0 ? 1 : -1);
    rolls.push_back({place * pi / count, pi / count / 2});
  }
  return rolls;
}

/// The budget ended before much was found: what planes through the middle of the log give.
void Tree::fall_back(TreeAnswer& answer) const {
  const double roll_rad = first_rolls().front().middle;
  RolledLog log(job_, roll_rad);
  for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
    if ((job_.kinds[kind].kind == Flitch::Kind::cant) != (job_.options.pattern == Pattern::cant)) {
      continue;
    }
    // Live: layers of one kind. Cant: one in the middle, layers of the first kind above and below it.
    const double half_m = job_.kinds[kind].thickness_m / 2;
    const std::size_t side = job_.kinds[kind].kind == Flitch::Kind::cant ? 0 : kind;
    Stack stack{{kind, -half_m}};
    for (double out_m = half_m + job_.options.kerf_m; out_m < job_.solid.reach_m;
         out_m += spacing_m(job_, side)) {
      stack.push_back({side, out_m});
      stack.insert(stack.begin(), {side, -out_m - job_.kinds[side].thickness_m});
    }
    const Pose pose{roll_rad, 0, bench_middle_m(roll_rad), stack};
    const Worth worth = worth_at(log, pose, 0);
    if (worth > answer.worth) {
      answer.found = true;
      answer.pose = pose;
      answer.worth = worth;
    }
  }
}

TreeAnswer Tree::run() {
  std::priority_queue<RollCell, std::vector<RollCell>, LowerFirst> queue;
  std::uint64_t number = 0;
  const auto add = [&](const Span& roll, double size_m, const std::vector<PitchCell>& pitches, Worth bound) {
    for (std::size_t from = 0; from < pitches.size(); from += kPitchesTogether) {
      const std::size_t to = std::min(from + kPitchesTogether, pitches.size());
      const auto begin = pitches.begin();
      queue.push({roll,
                  {begin + static_cast<std::ptrdiff_t>(from), begin + static_cast<std::ptrdiff_t>(to)},
                  size_m,
                  bound,
                  number++});
    }
  };
  const std::vector<PitchCell> all{{{0, job_.options.most_pitch}, everywhere()}};
  for (const Span& roll : first_rolls()) {
    add(roll, kFirstSize_m, all, most_possible_);
  }
  TreeAnswer answer;
  answer.worth = question_.worth;
  answer.tolerance_m = question_.held_m;
  std::uint64_t cells = 0;
  std::size_t unresolved = 0;
  while (!queue.empty() && !budget_.over() && !(question_.first_find && answer.found) &&
         unresolved < kMostUnresolved && (question_.most_cells == 0 || cells < question_.most_cells)) {
    std::vector<RollCell> batch;
    while (!queue.empty() && batch.size() < kBatch) {
      if (queue.top().bound > answer.worth) {
        batch.push_back(queue.top());
      }
      queue.pop();
    }
    cells += batch.size();
    std::vector<Outcome> outcomes(batch.size());
    std::vector<Budget> budgets(batch.size(), budget_.each_of(batch.size()));
    oneapi::tbb::parallel_for(std::size_t{0}, batch.size(),
                              [&](std::size_t i) { outcomes[i] = work(batch[i], answer.worth, budgets[i]); });
    for (std::size_t i = 0; i < batch.size(); ++i) {
      const Outcome& o = outcomes[i];
      answer.nodes += o.nodes;
      budget_.spend(budgets[i].spent());
      answer.tolerance_m = std::min(answer.tolerance_m, o.tolerance_m);
      answer.upper_bound = std::max(answer.upper_bound, o.unresolved_bound);
      unresolved += o.unresolved;
      if (o.worth > answer.worth) {
        unresolved = 0;
        answer.found = true;
        answer.worth = o.worth;
        answer.pose = *o.pose;
      }
      const RollCell& cell = batch[i];
      add(cell.roll, cell.size_m, o.again, cell.bound);
      const double size_m = std::max(cell.size_m / 2, leaf_m_);
      if (roll_movement_m(cell.roll.half) > size_m) {
        const double half = cell.roll.half / 2;
        add({cell.roll.middle - half, half}, size_m, o.alive, o.bound);
        add({cell.roll.middle + half, half}, size_m, o.alive, o.bound);
      } else {
        add(cell.roll, size_m, o.alive, o.bound);
      }
    }
  }
  if (!queue.empty() && budget_.over() && question_.grown_m == 0) {
    fall_back(answer);
  }
  answer.upper_bound = std::max(answer.upper_bound, answer.worth);
  answer.whole = queue.empty() || queue.top().bound <= answer.worth;
  answer.spent = !answer.whole && budget_.over();
  if (!queue.empty()) {
    answer.upper_bound = std::max(answer.upper_bound, queue.top().bound);
  }
  return answer;
}

}  // namespace

TreeAnswer ask_tree(const Job& job, const TreeQuestion& question, Budget& budget) {
  return Tree(job, question, budget).run();
}

}  // namespace flitchwise::solver
