#include "solver/setup/kit_choice.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "solver/setup/level_cuts.hpp"
#include "solver/setup/rail.hpp"
#include "solver/setup/setup.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr int kRolls = 24;  // a half turn, 7.5 degrees apart: supports and bark differ little between them
constexpr std::uint64_t kCells = 64;   // of the search at each
constexpr double kMendStep_m = 0.005;  // nobody buys a bar or a screw to the millimetre
constexpr double kMostMend_m = 0.4;    // no kit is made to differ by more

/// Asks whether kits can open a plan's stack and saw it. What no kit changes is worked out once.
class KitTrial {
 public:
  KitTrial(const LogModel& log, const SawPlan& plan)
      : plan_(plan),
        bench_(log, plan.orientation.roll_rad),
        planes_(level_planes(plan)),
        normal_depth_m_(normal_saw_depth_m(plan, planes_)) {
    for (const LevelPlane& plane : planes_) {
      widest_plane_m_ = std::max(widest_plane_m_, widest_cut_m(bench_, plane));
    }
  }

  bool can_be_sawn(const Kit& kit) const {
    const RailSetup rail = opening(kit);
    return rail.works() && widest_level_cut_m(rail) <= kit.saw_usable_bar_m;
  }
  double widest_level_cut_m(const Kit& kit) const { return widest_level_cut_m(opening(kit)); }

 private:
  RailSetup opening(const Kit& kit) const {
    return choose_opening(bench_, planes_, kit, plan_.options.kerf_m, normal_depth_m_).rail;
  }
  /// Of the opening cut and of those that make the planes.
  double widest_level_cut_m(const RailSetup& rail) const {
    return std::max(widest_plane_m_, rail.cut_width_m);
  }

  const SawPlan& plan_;
  BenchLog bench_;
  std::vector<LevelPlane> planes_;
  double normal_depth_m_;
  double widest_plane_m_ = 0;
};

/// Half a turn, the rolls nearest to how the log lies first, or those that it rests at.
std::vector<double> rolls_of(const SearchOptions& options) {
  if (options.as_it_lies) {
    return {0};
  }
  if (!options.roll_only_rad.empty()) {
    return options.roll_only_rad;
  }
  std::vector<double> rolls;
  for (int i = 0; i < 2 * kRolls; ++i) {  // the other half turn puts the other side of the log up
    const int step = (i + 1) / 2 * (i % 2 == 0 ? 1 : -1);
    rolls.push_back(pi * step / kRolls);
  }
  return rolls;
}

/// The plan worth most among those at the rolls that the kit can saw; ties to less rolling.
std::optional<SawPlan> best_that_can(const LogModel& log, const SawPlan& best, const Kit& kit,
                                     double seconds) {
  const auto start = std::chrono::steady_clock::now();
  std::optional<SawPlan> found;
  const std::vector<double> rolls = rolls_of(best.options);
  for (const double roll_rad : rolls) {
    QuickSearch quick;
    quick.seconds = seconds - std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    if (quick.seconds <= 0) {
      break;
    }
    quick.most_cells = kCells;
    quick.known_value = found ? found->value : 0;
    SearchOptions options = best.options;
    options.as_it_lies = roll_rad == 0;
    options.roll_only_rad = {roll_rad};
    if (options.most_nodes > 0) {
      options.most_nodes = std::max<std::uint64_t>(1, options.most_nodes / rolls.size());
    }
    std::optional<SawPlan> plan = search_quick(log, best.targets, options, quick).plan;
    if (plan && KitTrial(log, *plan).can_be_sawn(kit)) {
      found = std::move(plan);
    }
  }
  return found;
}

/// What alone would let the kit saw the plan; empty if one thing is not enough.
std::optional<KitMend> mend_for(const KitTrial& trial, const Kit& kit) {
  Kit other = kit;
  other.saw_usable_bar_m = trial.widest_level_cut_m(kit) + kMostMend_m;
  if (trial.can_be_sawn(other)) {
    const double wanted_m = trial.widest_level_cut_m(other);
    return KitMend{KitMend::Kind::bar, kMendStep_m * std::ceil(wanted_m / kMendStep_m)};
  }
  for (double by_m = kMendStep_m; by_m <= kMostMend_m; by_m += kMendStep_m) {
    other = kit;
    other.saw_depth_max_m += by_m;
    if (trial.can_be_sawn(other)) {
      return KitMend{KitMend::Kind::saw, by_m};
    }
  }
  for (double by_m = kMendStep_m; by_m <= kit.screw_bite_m + kit.screw_to_cut_m; by_m += kMendStep_m) {
    other = kit;
    other.screw_to_cut_m = std::max(kit.screw_to_cut_m - by_m, 0.0);
    other.screw_bite_m = kit.screw_bite_m - std::max(by_m - kit.screw_to_cut_m, 0.0);
    if (other.screw_bite_m > 0 && trial.can_be_sawn(other)) {
      return KitMend{KitMend::Kind::screws, by_m};
    }
  }
  return std::nullopt;
}

}  // namespace

bool can_be_sawn(const LogModel& log, const SawPlan& plan, const Kit& kit) {
  require_usable(plan, kit);
  return KitTrial(log, plan).can_be_sawn(kit);
}

KitChoice choose_for_kit(const LogModel& log, SawPlan best, const Kit& kit, double seconds) {
  require(best.status == SawPlan::Status::ok, "only a plan with boards can be chosen for a kit");
  require_usable(best, kit);
  const KitTrial trial(log, best);
  KitChoice choice;
  choice.can_be_sawn = trial.can_be_sawn(kit);
  if (choice.can_be_sawn) {
    choice.plan = std::move(best);
    return choice;
  }
  KitCosts costs{static_cast<int>(best.boards.size()), mend_for(trial, kit), 0};
  std::optional<SawPlan> other = best_that_can(log, best, kit, seconds);
  if (!other) {
    choice.costs = costs;
    choice.plan = std::move(best);
    return choice;
  }
  choice.can_be_sawn = true;
  costs.boards = static_cast<int>(other->boards.size());
  choice.costs = costs;
  other->options.as_it_lies = best.options.as_it_lies;
  other->options.roll_only_rad = best.options.roll_only_rad;
  other->options.most_nodes = best.options.most_nodes;
  const Proof own = other->proof;
  other->proof = best.proof;
  other->proof.boards = own.boards;
  other->proof.value = own.value;
  other->proof.proven = own.value == best.proof.upper_value;
  other->proof.margin_proven = false;
  other->proof.margin_bound_m = 0;
  choice.plan = std::move(*other);
  return choice;
}

}  // namespace flitchwise::solver
