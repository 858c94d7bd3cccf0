#include "solver/search/evaluate.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace flitchwise::solver {
namespace {

/// Places of the nearest layer that is known, or none.
const std::vector<std::size_t>* nearest_places(const Places& places, std::size_t lay) {
  const std::vector<std::size_t>* nearest = nullptr;
  std::size_t distance = std::numeric_limits<std::size_t>::max();
  for (const auto& [known, row] : places) {
    const std::size_t away = known > lay ? known - lay : lay - known;
    if (away < distance) {
      distance = away;
      nearest = &row;
    }
  }
  return nearest;
}

}  // namespace

double spacing_m(const Job& job, std::size_t kind) {
  return job.kinds[kind].thickness_m + job.options.kerf_m;
}

Stack endless_stack(const Job& job) {
  const double each_m = spacing_m(job, 0);
  const double reach_m = job.solid.reach_m + job.options.most_pitch * job.solid.usable_m / 2 + 2 * each_m;
  const int most = static_cast<int>(std::ceil(reach_m / each_m));
  Stack stack;
  for (int i = -most; i <= most; ++i) {
    stack.push_back({0, i * each_m + job.options.kerf_m / 2});
  }
  return stack;
}

Slab slab_of(const Job& job, const Pose& pose, const Lay& lay) {
  const double sec = std::sqrt(1 + pose.pitch * pose.pitch);
  const double low_m = pose.phase_m + lay.low_m * sec;
  return {low_m, low_m + job.kinds[lay.kind].thickness_m * sec, pose.pitch};
}

std::vector<Strip> strips_of(RolledLog& log, const Pose& pose, std::size_t lay, double grown_m,
                             const Places* places) {
  const Job& job = log.job();
  const Lay& at = pose.stack[lay];
  Layer layer(log, slab_of(job, pose, at), job.kinds[at.kind], grown_m);
  const std::vector<std::size_t>* row = places == nullptr ? nullptr : nearest_places(*places, lay);
  if (row == nullptr) {
    return layer.best_strips();
  }
  std::vector<Strip> strips;
  for (const std::size_t place : *row) {
    strips.push_back(layer.strip_at(place));
  }
  return strips;
}

Worth worth_of(const std::vector<Strip>& strips) {
  Worth worth = 0;
  for (const Strip& strip : strips) {
    worth += strip.worth;
  }
  return worth;
}

Worth worth_at(RolledLog& log, const Pose& pose, double grown_m, const Places* places) {
  Worth worth = 0;
  for (std::size_t lay = 0; lay < pose.stack.size(); ++lay) {
    worth += worth_of(strips_of(log, pose, lay, grown_m, places));
  }
  return worth;
}

Places best_places(RolledLog& log, const Pose& pose, double grown_m) {
  Places places;
  for (std::size_t lay = 0; lay < pose.stack.size(); ++lay) {
    const std::vector<Strip> strips = strips_of(log, pose, lay, grown_m);
    if (worth_of(strips) > 0) {
      for (const Strip& strip : strips) {
        places[lay].push_back(strip.place);
      }
    }
  }
  return places;
}

double margin_at(RolledLog& log, const Pose& pose, Worth worth, double above_m, const Places& places) {
  const auto holds = [&](double grown_m) { return worth_at(log, pose, grown_m, &places) >= worth; };
  const double start_m = above_m + kMarginPrecision_m;
  if (!holds(start_m)) {
    return -std::numeric_limits<double>::infinity();
  }
  return largest(start_m, log.job().solid.largest_width_m, holds);
}

namespace {

/// The best that lies below one plane.
struct Below {
  bool known = false;
  Worth worth = 0;
  std::size_t kind = 0;  ///< of the layer right below; the next one's if `ends` is false
  bool ends = true;      ///< nothing more is sawn
};

/// Memory of stack_below: depths below the topmost plane, whole micrometres so that sums in another order are
/// the same, with and without a cant still allowed.
class Digger {
 public:
  Digger(RolledLog& log, const Pose& pose)
      : log_(log), job_(log.job()), pose_(pose), sec_(std::sqrt(1 + pose.pitch * pose.pitch)) {
    bottom_m_ = -job_.solid.reach_m - std::abs(pose.pitch) * job_.solid.usable_m / 2;
  }

  Below best(double depth_m, bool cant_left) {
    Below& found = known_[{std::llround(depth_m * kMicrons), cant_left}];
    if (found.known) {
      return found;
    }
    Below here;
    here.known = true;
    if (pose_.phase_m - depth_m * sec_ > bottom_m_) {
      for (std::size_t kind = 0; kind < job_.kinds.size(); ++kind) {
        const bool cant = job_.kinds[kind].kind == Flitch::Kind::cant;
        if (cant && !cant_left) {
          continue;
        }
        const double below_m = depth_m + spacing_m(job_, kind);
        const Worth worth = layer_worth(kind, below_m) + best(below_m, cant_left && !cant).worth;
        if (worth > here.worth) {
          here = {true, worth, kind, false};
        }
      }
    }
    return known_[{std::llround(depth_m * kMicrons), cant_left}] = here;
  }

  /// The lower face of the layer whose lower plane lies at this depth, from the topmost plane.
  double low_m(double below_m) const { return job_.options.kerf_m / 2 - below_m; }

 private:
  static constexpr double kMicrons = 1e6;
  Worth layer_worth(std::size_t kind, double below_m) {
    const auto [at, is_new] = worths_.try_emplace({kind, std::llround(below_m * kMicrons)}, 0);
    if (is_new) {
      Pose one = pose_;
      one.stack = {{kind, low_m(below_m)}};
      at->second = worth_at(log_, one, 0);
    }
    return at->second;
  }

  RolledLog& log_;
  const Job& job_;
  const Pose& pose_;
  double sec_;
  double bottom_m_ = 0;
  std::map<std::pair<long long, bool>, Below> known_;
  std::map<std::pair<std::size_t, long long>, Worth> worths_;
};

}  // namespace

Stack stack_below(RolledLog& log, const Pose& pose) {
  Digger digger(log, pose);
  Stack stack;
  double depth_m = 0;
  bool cant_left = true;
  for (Below here = digger.best(0, true); !here.ends; here = digger.best(depth_m, cant_left)) {
    depth_m += spacing_m(log.job(), here.kind);
    stack.push_back({here.kind, digger.low_m(depth_m)});
    cant_left = cant_left && log.job().kinds[here.kind].kind != Flitch::Kind::cant;
  }
  std::reverse(stack.begin(), stack.end());
  return stack;
}

}  // namespace flitchwise::solver
