#include "solver/search/tree.hpp"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <queue>

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr double kFirstSize_m = 0.006;  // how far the surface moves within the first cells
constexpr double kMostFirstRolls = 32;
constexpr std::size_t kPitchesTogether = 32;  // of one roll, in one piece of work
constexpr std::size_t kBatch = 16;  // cells worked on together; fixed, so that threads change nothing
constexpr std::size_t kMostUnresolved = 100;  // then no more cells are tried: the log is a borderline case

struct LowerFirst {
  bool operator()(const RollCell& a, const RollCell& b) const {
    return a.bound != b.bound ? a.bound < b.bound : a.number > b.number;
  }
};

class Tree {
 public:
  Tree(const Job& job, const TreeQuestion& question, Budget& budget)
      : job_(job), question_(question), budget_(budget) {
    answer_.worth = question.worth;
    answer_.tolerance_m = question.held_m;
    for (const Section& s : job.solid.stations) {
      const Eigen::Index n = s.radius_m.size();
      double slope = 0;
      for (Eigen::Index k = 0; k < n; ++k) {
        slope = std::max(
            slope, std::abs(s.radius_m[(k + 1) % n] - s.radius_m[k]) * static_cast<double>(n) / (2 * pi));
      }
      sway_m_ = std::max(sway_m_, (s.centre_m - job.solid.middle_m).norm() + slope);
    }
  }

  TreeAnswer run() {
    for (const Span& roll : first_rolls()) {
      add(roll, kFirstSize_m, {{{0, job_.options.most_pitch}, everywhere()}}, most_possible());
    }
    while (goes_on()) {
      const std::vector<RollCell> batch = next_batch();
      std::vector<Outcome> outcomes(batch.size());
      std::vector<Budget> budgets(batch.size(), budget_.each_of(batch.size()));
      oneapi::tbb::parallel_for(std::size_t{0}, batch.size(), [&](std::size_t i) {
        outcomes[i] = work_on(job_, question_, batch[i], answer_.worth, budgets[i]);
      });
      for (std::size_t i = 0; i < batch.size(); ++i) {
        budget_.spend(budgets[i].spent());
        take(outcomes[i]);
        queue_rest(batch[i], outcomes[i]);
      }
    }
    close();
    return answer_;
  }

 private:
  bool goes_on() const {
    return !queue_.empty() && !budget_.over() && !(question_.first_find && answer_.found) &&
           unresolved_ < kMostUnresolved && (question_.most_cells == 0 || cells_ < question_.most_cells);
  }

  /// The best cells that may still give more than is known.
  std::vector<RollCell> next_batch() {
    std::vector<RollCell> batch;
    while (!queue_.empty() && batch.size() < kBatch) {
      if (queue_.top().bound > answer_.worth) {
        batch.push_back(queue_.top());
      }
      queue_.pop();
    }
    cells_ += batch.size();
    return batch;
  }

  void find(const Pose& pose, Worth worth) {
    answer_.found = true;
    answer_.pose = pose;
    answer_.worth = worth;
  }

  void take(const Outcome& outcome) {
    answer_.nodes += outcome.nodes;
    answer_.tolerance_m = std::min(answer_.tolerance_m, outcome.tolerance_m);
    answer_.upper_bound = std::max(answer_.upper_bound, outcome.unresolved_bound);
    unresolved_ += outcome.unresolved;
    if (outcome.worth > answer_.worth) {
      unresolved_ = 0;
      find(*outcome.pose, outcome.worth);
    }
  }

  void queue_rest(const RollCell& cell, const Outcome& outcome) {
    add(cell.roll, cell.size_m, outcome.again, cell.bound);
    const double size_m = std::max(cell.size_m / 2, question_.leaf_m());
    if (sway_m_ * cell.roll.half > size_m) {
      const double half = cell.roll.half / 2;
      add({cell.roll.middle - half, half}, size_m, outcome.alive, outcome.bound);
      add({cell.roll.middle + half, half}, size_m, outcome.alive, outcome.bound);
    } else {
      add(cell.roll, size_m, outcome.alive, outcome.bound);
    }
  }

  void add(const Span& roll, double size_m, const std::vector<PitchCell>& pitches, Worth bound) {
    for (auto from = pitches.begin(); from != pitches.end();) {
      const auto to = from + std::min<std::ptrdiff_t>(kPitchesTogether, pitches.end() - from);
      queue_.push({roll, {from, to}, size_m, bound, number_++});
      from = to;
    }
  }

  /// What is left in the queue bounds what was not found.
  void close() {
    if (!queue_.empty() && budget_.over() && question_.grown_m == 0) {
      fall_back();
    }
    const Worth left = queue_.empty() ? 0 : queue_.top().bound;
    answer_.whole = left <= answer_.worth;
    answer_.spent = !answer_.whole && budget_.over();
    answer_.upper_bound = std::max({answer_.upper_bound, answer_.worth, left});
  }

  /// Where a layer may lie, before anything is ruled out.
  Open everywhere() const {
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

  /// Before anything is known: as many layers as the thinnest kind gives, each as wide as the log.
  Worth most_possible() const {
    double thinnest_m = std::numeric_limits<double>::infinity();
    Worth most_in_layer = 0;
    for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
      thinnest_m = std::min(thinnest_m, spacing_m(job_, kind));
      for (const Layout& layout : job_.layouts) {
        Worth worth = 0;
        for (const Window& window : layout.windows) {
          const MenuSteps& steps = job_.kinds[kind].steps[window.length];
          worth += steps.worth.empty() ? 0 : steps.worth.back();
        }
        most_in_layer = std::max(most_in_layer, worth);
      }
    }
    const double layers = std::ceil((2 * job_.solid.reach_m) / thinnest_m) + 1;
    return most_in_layer * static_cast<Worth>(layers) * (job_.all_layouts ? 1 : 2);
  }

  /// Half a turn is all: turned by the other half, the same planes cut the same boards. Cell 0 lies around 0.
  std::vector<Span> first_rolls() const {
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
    const double wanted = std::ceil(sway_m_ * pi / 2 / kFirstSize_m);
    const int count = static_cast<int>(std::clamp(wanted, 1.0, kMostFirstRolls));
    std::vector<Span> rolls;
    for (int i = 0; i < count; ++i) {
      const int place = (i + 1) / 2 * (i % 2 == 0 ? 1 : -1);
      rolls.push_back({place * pi / count, pi / count / 2});
    }
    return rolls;
  }

  /// The budget ended before much was found: what planes through the middle of the log give.
  void fall_back() {
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
      const Pose pose{roll_rad, 0, job_.solid.bench_middle_m(roll_rad), stack};
      const Worth worth = worth_at(log, pose, 0);
      if (worth > answer_.worth) {
        find(pose, worth);
      }
    }
  }

  const Job& job_;
  const TreeQuestion& question_;
  Budget& budget_;
  double sway_m_ = 0;  ///< surface movement for each radian of roll
  std::priority_queue<RollCell, std::vector<RollCell>, LowerFirst> queue_;
  std::uint64_t number_ = 0;  ///< of the next cell
  std::uint64_t cells_ = 0;   ///< worked on
  std::size_t unresolved_ = 0;
  TreeAnswer answer_;
};

}  // namespace

TreeAnswer ask_tree(const Job& job, const TreeQuestion& question, Budget& budget) {
  return Tree(job, question, budget).run();
}

}  // namespace flitchwise::solver
