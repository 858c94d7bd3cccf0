#include "solver/search/stack_bound.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "solver/search/layer_bound.hpp"

namespace flitchwise::solver {
namespace {

constexpr Worth kNone = std::numeric_limits<Worth>::min() / 4;  // of what cannot be; may be added up
constexpr double kGridMost_m = 0.001;     // coarser heights would tell the spacings badly apart
constexpr double kGridLeast_m = 0.0005;   // of the coarsest grid
constexpr double kGridStep_m = 0.00001;   // in which it is chosen
constexpr double kGridFinest_m = 0.0001;  // finer ones cost more than they sharpen the bound
constexpr double kLeastWaste_m = 0.005;  // a thinner slice of wood left between two layers cannot be sawn off

/// Spacing of the coarsest heights: of those between its limits the one that the layers' spacings are nearest
/// to whole multiples of. Finer grids halve it, so that each holds the coarser ones.
double coarsest_grid_m(const Job& job) {
  double best_m = kGridMost_m;
  double least_lost = std::numeric_limits<double>::infinity();
  const int first = static_cast<int>(std::lround(kGridMost_m / kGridStep_m));
  const int last = static_cast<int>(std::lround(kGridLeast_m / kGridStep_m));
  for (int i = first; i >= last; --i) {
    const double grid_m = i * kGridStep_m;
    double lost = 0;
    for (std::size_t kind = 0; kind < job.kinds.size(); ++kind) {
      const double slots = spacing_m(job, kind) / grid_m;
      constexpr double kWhole = 1e-6;
      lost = std::max(lost, (slots - std::floor(slots + kWhole)) / slots);
    }
    if (lost < least_lost - 1e-9) {
      least_lost = lost;
      best_m = grid_m;
    }
  }
  return best_m;
}

/// The layers of the stacks in question, for each short stretch of heights one: the lanes.
class StackBound {
 public:
  StackBound(const RollTables& tables, const Span& pitch, double shrunk_m)
      : tables_(tables), job_(tables.job()), cell_{pitch, shrunk_m} {
    const double least_pitch = std::max(0.0, std::abs(pitch.middle) - pitch.half);
    cell_.most_sec = std::sqrt(1 + cell_.most_pitch() * cell_.most_pitch());
    cell_.least_sec = std::sqrt(1 + least_pitch * least_pitch);
    if (job_.evenly_spaced()) {  // else a layer's height stands for itself
      const double reach_m = 2 * job_.solid.reach_m + cell_.most_pitch() * job_.solid.usable_m;
      const double square_m = spacing_m(job_, 0);
      spacing_m_ = square_m * std::sqrt(1 + pitch.middle * pitch.middle);
      const double layers = std::ceil(reach_m / spacing_m_) + 1;
      cell_.spacing_slack_m = layers * square_m * (cell_.most_sec - cell_.least_sec);
    }
  }

  void spread(const Open& open, double step_m) {
    job_.evenly_spaced() ? spread_evenly(open.front(), step_m) : spread_grid(open, step_m);
  }

  StackAnswer most(Worth enough) {
    constexpr std::size_t kQuickStride = 4;
    for (const Look& look : {Look{kQuickStride, false}, Look{kQuickStride, true}, Look{1, true}}) {
      if (!count_lanes(tables_, cell_, look, lanes_)) {
        return {true, 0, 0, {}, {}};
      }
      drop(enough);
      if (lanes_.empty()) {
        break;
      }
    }
    return job_.evenly_spaced() ? answer_of_stretches(enough) : answer_of_grid();
  }

 private:
  /// A short range of phases. All layers of a stack whose phase lies in it start within a lane's width.
  struct Stretch {
    Range phases;
    Worth worth = 0;
  };
  /// A path's layers from the bottom: kind and slot.
  using Path = std::vector<std::pair<std::size_t, std::size_t>>;
  /// Best sums over the grid of heights. [0]: without a cant, [1]: with exactly one.
  struct Sums {
    std::array<std::vector<Worth>, 2> above;  ///< [cant][slot] of layers that start there or higher
    std::array<std::vector<Worth>, 2> below;  ///< of layers whose spacing ends there or lower
    std::vector<std::vector<Worth>> lane;     ///< [kind][slot]; kNone where no lane is left
    Worth best = 0;
    std::size_t first_cants = 0;  ///< of the best: 0 or 1
  };

  void spread_evenly(const std::vector<Range>& phases, double step_m) {
    if (grain_rules_out(0)) {
      return;
    }
    for (const Range& range : phases) {
      const auto parts = std::max(1.0, std::ceil((range.high_m - range.low_m) / step_m - 1e-9));
      const double part_m = (range.high_m - range.low_m) / parts;
      for (int i = 0; i < static_cast<int>(parts); ++i) {
        stretches_.push_back({{range.low_m + i * part_m, range.low_m + (i + 1) * part_m}});
        cell_.width_m = std::max(cell_.width_m, part_m);
      }
    }
    cell_.width_m += tables_.step_m();  // starts are rounded down to whole steps
    // Beyond this no layer meets the wood at any station.
    const double high_m = job_.solid.reach_m + job_.solid.middle_m.norm() + std::abs(cell_.shrunk_m) +
                          cell_.width_m + cell_.most_pitch() * job_.solid.usable_m / 2;
    const double low_m = -high_m - spacing_m_;
    for (std::size_t i = 0; i < stretches_.size(); ++i) {
      const double phase_m = stretches_[i].phases.low_m;
      const auto first = static_cast<int>(std::floor((low_m - phase_m) / spacing_m_));
      for (int layer = first; phase_m + layer * spacing_m_ < high_m; ++layer) {
        const double start_m = phase_m + layer * spacing_m_;
        lanes_.push_back({static_cast<std::ptrdiff_t>(std::floor(start_m / tables_.step_m())), i});
      }
    }
  }

  void spread_grid(const Open& open, double step_m) {
    grid_m_ = coarsest_grid_m(job_);
    while (grid_m_ > step_m && grid_m_ / 2 >= kGridFinest_m) {
      grid_m_ /= 2;
    }
    cell_.width_m = grid_m_ + tables_.step_m();
    double low_m = std::numeric_limits<double>::infinity();
    double high_m = -low_m;
    for (const std::vector<Range>& ranges : open) {
      for (const Range& range : ranges) {
        low_m = std::min(low_m, range.low_m);
        high_m = std::max(high_m, range.high_m);
      }
    }
    if (low_m > high_m) {
      return;
    }
    constexpr double kWhole = 1e-6;  // of a slot: sums of doubles
    const auto slot_at = [&](double m) {
      return static_cast<std::ptrdiff_t>(std::floor(m / grid_m_ + kWhole));
    };
    const std::ptrdiff_t first = slot_at(low_m);
    grid_low_m_ = static_cast<double>(first) * grid_m_;
    slots_ = static_cast<std::size_t>(slot_at(high_m) - first) + 1;
    for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
      strides_.push_back(static_cast<std::size_t>(slot_at(spacing_m(job_, kind) * cell_.least_sec)));
      if (grain_rules_out(kind)) {
        continue;
      }
      for (const Range& range : open[kind]) {
        const std::ptrdiff_t end =
            std::max(slot_at(range.low_m) + 1, slot_at(range.high_m - grid_m_ * kWhole * 2) + 1);
        for (std::ptrdiff_t slot = slot_at(range.low_m); slot < end; ++slot) {
          const double start_m = static_cast<double>(slot) * grid_m_;
          lanes_.push_back({static_cast<std::ptrdiff_t>(std::floor(start_m / tables_.step_m())),
                            static_cast<std::size_t>(slot - first), kind});
        }
      }
    }
  }

  /// No pose of the cell keeps such a layer's faces near enough to the pith line.
  bool grain_rules_out(std::size_t kind) const {
    const double most = job_.options.most_grain_slope;
    if (most == 0 || !job_.kinds[kind].faces_up) {
      return false;
    }
    const Span& roll = tables_.roll();
    const double rise =
        job_.pith_rise.x() * std::sin(roll.middle) + job_.pith_rise.y() * std::cos(roll.middle);
    const double off =
        std::abs(rise - cell_.pitch.middle) - cell_.pitch.half - job_.pith_rise.norm() * std::abs(roll.half);
    const double share = most / std::hypot(1, most);
    return off > share * cell_.most_sec * std::sqrt(1 + job_.pith_rise.squaredNorm());
  }

  Sums sums() const {
    Sums sums;
    sums.lane.assign(job_.kinds.size(), std::vector<Worth>(slots_, kNone));
    for (const Lane& lane : lanes_) {
      sums.lane[lane.kind][lane.slot] = lane.worth;
    }
    const std::size_t end = slots_ + *std::max_element(strides_.begin(), strides_.end());
    for (std::size_t cants = 0; cants < 2; ++cants) {
      sums.above[cants].assign(end + 1, cants == 0 ? 0 : kNone);
      sums.below[cants].assign(end + 1, cants == 0 ? 0 : kNone);
    }
    // What lies beside a layer of this kind in a stack with so many cants; null: there is none.
    const auto beside = [&](const auto& all, std::size_t kind, std::size_t cants) {
      return is_cant(kind) ? (cants == 1 ? &all[0] : nullptr) : &all[cants];
    };
    for (std::size_t cants = 0; cants < 2; ++cants) {
      std::vector<Worth>& above = sums.above[cants];
      for (std::size_t slot = slots_; slot-- > 0;) {
        above[slot] = above[slot + 1];
        for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
          if (const auto* rest = beside(sums.above, kind, cants)) {
            above[slot] = std::max(above[slot], sums.lane[kind][slot] + (*rest)[slot + strides_[kind]]);
          }
        }
      }
      std::vector<Worth>& below = sums.below[cants];
      for (std::size_t slot = 1; slot <= end; ++slot) {
        below[slot] = below[slot - 1];
        for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
          const std::size_t from = slot - strides_[kind];  // wraps to a large number below the first slot
          const auto* rest = beside(sums.below, kind, cants);
          if (rest != nullptr && from < slots_) {
            below[slot] = std::max(below[slot], sums.lane[kind][from] + (*rest)[from]);
          }
        }
      }
    }
    const Worth live = sums.above[0][0];
    const Worth cant = sums.above[1][0];
    const Pattern pattern = job_.options.pattern;
    sums.first_cants = pattern == Pattern::cant || (pattern == Pattern::best && cant > live) ? 1 : 0;
    sums.best = std::max<Worth>(0, sums.first_cants == 1 ? cant : live);
    return sums;
  }

  /// Forgets what is in no stack that still gives more than `enough`.
  void drop(Worth enough) { job_.evenly_spaced() ? drop_stretches(enough) : drop_lanes(enough); }

  void drop_stretches(Worth enough) {
    for (Stretch& stretch : stretches_) {
      stretch.worth = 0;
    }
    for (const Lane& lane : lanes_) {
      stretches_[lane.slot].worth += lane.worth;
    }
    std::erase_if(lanes_,
                  [&](const Lane& lane) { return lane.worth == 0 || stretches_[lane.slot].worth <= enough; });
  }

  void drop_lanes(Worth enough) {
    if (lanes_.empty()) {
      return;
    }
    const Sums all = sums();
    const Pattern pattern = job_.options.pattern;
    std::erase_if(lanes_, [&](const Lane& lane) {
      const std::size_t next = lane.slot + strides_[lane.kind];
      const Worth none = all.below[0][lane.slot] + all.above[0][next];
      const Worth one = std::max(all.below[1][lane.slot] + all.above[0][next],
                                 all.below[0][lane.slot] + all.above[1][next]);
      const Worth around = is_cant(lane.kind) || pattern == Pattern::live ? none
                           : pattern == Pattern::best                     ? std::max(none, one)
                                                                          : one;
      return lane.worth == 0 || around + lane.worth <= enough;
    });
  }

  StackAnswer answer_of_stretches(Worth enough) const {
    StackAnswer answer;
    answer.stack = endless_stack(job_);
    answer.alive.resize(1);
    std::vector<Range>& alive = answer.alive.front();
    double longest_m = -1;
    for (const Stretch& stretch : stretches_) {
      const Range& phases = stretch.phases;
      if (stretch.worth > enough) {
        if (!alive.empty() && alive.back().high_m >= phases.low_m) {
          alive.back().high_m = phases.high_m;
        } else {
          alive.push_back(phases);
        }
        const double long_m = alive.back().high_m - alive.back().low_m;
        if (stretch.worth > answer.worth || (stretch.worth == answer.worth && long_m > longest_m)) {
          answer.worth = stretch.worth;
          answer.phase_m = (phases.low_m + phases.high_m) / 2;
          longest_m = long_m;
        }
      }
      answer.worth = std::max(answer.worth, stretch.worth);
    }
    return answer;
  }

  StackAnswer answer_of_grid() const {
    StackAnswer answer;
    answer.alive.resize(job_.kinds.size());
    if (lanes_.empty()) {
      return answer;  // whatever is left is not worth more than enough
    }
    const Sums all = sums();
    answer.worth = all.best;
    for (const Lane& lane : lanes_) {
      std::vector<Range>& alive = answer.alive[lane.kind];
      const double low_m = grid_low_m_ + static_cast<double>(lane.slot) * grid_m_;
      if (!alive.empty() && alive.back().high_m > low_m - grid_m_ / 2) {
        alive.back().high_m = low_m + grid_m_;
      } else {
        alive.push_back({low_m, low_m + grid_m_});
      }
    }
    settle(best_path(all), answer);
    return answer;
  }

  /// The layers of the best stack from the bottom: kind and slot.
  Path best_path(const Sums& all) const {
    Path path;
    std::size_t cants = all.first_cants;
    for (std::size_t slot = 0; slot < slots_;) {
      const Worth here = all.above[cants][slot];
      bool laid = false;
      for (std::size_t kind = 0; !laid && kind < job_.kinds.size(); ++kind) {
        if (all.lane[kind][slot] <= 0 || (is_cant(kind) && cants == 0)) {
          continue;
        }
        const std::size_t rest = is_cant(kind) ? 0 : cants;
        if (here == all.lane[kind][slot] + all.above[rest][slot + strides_[kind]]) {
          path.emplace_back(kind, slot);
          cants = rest;
          slot += strides_[kind];
          laid = true;
        }
      }
      slot += laid ? 0 : 1;
    }
    return path;
  }

  /// Makes a stack of a path: layers a whole spacing apart, and no slice left between them that is too thin
  /// to be sawn off. They move towards the middle one, where the log is widest.
  void settle(const Path& path, StackAnswer& answer) const {
    if (path.empty()) {
      return;
    }
    const double sec = std::sqrt(1 + cell_.pitch.middle * cell_.pitch.middle);
    const auto middle_m = [&](std::size_t i) {
      return (grid_low_m_ + (static_cast<double>(path[i].second) + 1. / 2) * grid_m_) / sec;
    };
    std::size_t centre = 0;
    for (std::size_t i = 0; i < path.size(); ++i) {
      const double half_m = job_.kinds[path[i].first].thickness_m / 2;
      const double centre_half_m = job_.kinds[path[centre].first].thickness_m / 2;
      if (std::abs(middle_m(i) + half_m) < std::abs(middle_m(centre) + centre_half_m)) {
        centre = i;
      }
    }
    const double waste_m = kLeastWaste_m + job_.options.kerf_m;
    Stack stack(path.size());
    stack[centre] = {path[centre].first, middle_m(centre)};
    for (std::size_t i = centre + 1; i < path.size(); ++i) {
      const double next_m = stack[i - 1].low_m + spacing_m(job_, path[i - 1].first);
      stack[i] = {path[i].first, middle_m(i) > next_m + waste_m ? middle_m(i) : next_m};
    }
    for (std::size_t i = centre; i-- > 0;) {
      const double next_m = stack[i + 1].low_m - spacing_m(job_, path[i].first);
      stack[i] = {path[i].first, middle_m(i) < next_m - waste_m ? middle_m(i) : next_m};
    }
    answer.phase_m = stack.front().low_m * sec;
    const double lowest_m = stack.front().low_m;
    for (Lay& lay : stack) {
      lay.low_m += job_.options.kerf_m / 2 - lowest_m;
    }
    answer.stack = std::move(stack);
  }

  bool is_cant(std::size_t kind) const { return job_.kinds[kind].kind == Flitch::Kind::cant; }

  const RollTables& tables_;
  const Job& job_;
  PoseCell cell_;
  double spacing_m_ = 0;  // of evenly spaced planes
  std::vector<Stretch> stretches_;
  double grid_low_m_ = 0;  // of slot 0
  double grid_m_ = 0;      // between slots
  std::size_t slots_ = 0;
  std::vector<std::size_t> strides_;  // [kind] slots from a layer to the next one above, at least
  std::vector<Lane> lanes_;           // by kind
};

}  // namespace

StackAnswer most_worth(const RollTables& tables, const StackQuestion& question) {
  StackBound bound(tables, question.pitch, question.shrunk_m);
  bound.spread(question.open, question.step_m);
  return bound.most(question.enough);
}

}  // namespace flitchwise::solver
