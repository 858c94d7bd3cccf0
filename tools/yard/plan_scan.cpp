#include "tools/yard/plan_scan.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/cut_out.hpp"
#include "scan/model/errors.hpp"
#include "solver/advice/crosscut.hpp"
#include "solver/search/search.hpp"
#include "solver/setup/kit_choice.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/yard/archive.hpp"
#include "tools/yard/log_job.hpp"
#include "tools/yard/thumbnail.hpp"
#include "tools/yard/wishes.hpp"

namespace flitchwise::yard {
namespace {

/// The searches end by their number of cells; wall time is but the last resort against a hang.
constexpr double kNoLimit_s = 3600;
constexpr double kLeastRoll_rad = 0.05 * std::numbers::pi / 180;  // below it nobody turns a log

bool gives_boards(const solver::SawPlan& plan) {
  return plan.status == solver::SawPlan::Status::ok && !plan.boards.empty();
}

/// What one search came to.
struct Found {
  std::vector<solver::SawPlan> plans;  // one a piece; those without boards stay in their place
  std::vector<LogModel> pieces;        // of a log cut in two
  std::vector<std::optional<solver::KitCosts>> kit_costs;  // one a plan
  double cut_x_m = 0;
  bool can_be_sawn = true;
};

class Planner {
 public:
  Planner(const PlanJob& job, const LogModel& log)
      : job_(job), log_(log), own_kit_(job.kit.has_value()), kit_(kit_of(request())) {}

  void run(LogPlans& plans, LogModels& models) {
    for (const Wish& wish : wishes_for(job_, log_)) {
      Found found = look_for(wish);
      if (first_) {
        first_ = false;
        best_known_ = found.plans.front().proof.upper_value;
        plans.message = Told{report::why_none_words(report::Units::millimetres, found.plans.front())};
      }
      if (std::any_of(found.plans.begin(), found.plans.end(), gives_boards)) {
        add(wish, found, plans, models);
      }
    }
  }

 private:
  PlanRequest request() const {
    PlanRequest request;
    request.kerf_m = job_.kerf_m;
    request.kit = job_.kit;
    return request;
  }

  solver::SearchOptions options_for(const Wish& wish) const {
    PlanRequest plain = request();
    plain.search = job_.search;
    solver::SearchOptions options = search_options(plain, kit_);
    options.pattern = wish.pattern;
    options.time_limit_s = kNoLimit_s;
    return options;
  }

  std::vector<solver::Target> targets_of(const Wish& wish) const {
    std::vector<solver::Target> targets;
    for (std::size_t i = 0; i < wish.targets.size(); ++i) {
      targets.push_back(job_.targets[wish.targets[i]]);
      targets.back().value = wish.values[i];
    }
    return targets;
  }

  Found look_for(const Wish& wish) const {
    Found found;
    if (wish.cut_first) {
      auto cut = solver::best_crosscut(log_, targets_of(wish), options_for(wish), {kNoLimit_s, kNoLimit_s});
      if (cut) {
        found.plans = std::move(cut->plans);
        found.pieces = std::move(cut->pieces);
        found.cut_x_m = cut->cut_x_m;
      }
    } else {
      found.plans.push_back(solver::search(log_, targets_of(wish), options_for(wish)));
    }
    found.kit_costs.resize(found.plans.size());
    for (std::size_t i = 0; own_kit_ && i < found.plans.size(); ++i) {
      if (gives_boards(found.plans[i])) {
        solver::KitChoice choice = solver::choose_for_kit(found.pieces.empty() ? log_ : found.pieces[i],
                                                          std::move(found.plans[i]), kit_, kNoLimit_s);
        found.plans[i] = std::move(choice.plan);
        found.kit_costs[i] = choice.costs;
        found.can_be_sawn = found.can_be_sawn && choice.can_be_sawn;
      }
    }
    for (solver::SawPlan& plan : found.plans) {
      set_values(wish, plan);
    }
    return found;
  }

  /// The order's values instead of the wish's, and no more said of the proof than still holds.
  void set_values(const Wish& wish, solver::SawPlan& plan) const {
    plan.proof.seconds = 0;  // the only thing in it that differs from run to run
    plan.options.threads = 0;
    if (!wish.own_values || !gives_boards(plan)) {
      return;
    }
    for (std::size_t i = 0; i < wish.targets.size(); ++i) {
      plan.targets[i].value = job_.targets[wish.targets[i]].value;
    }
    plan.value = 0;
    for (const solver::Board& board : plan.boards) {
      plan.value += plan.targets[board.target].value;
    }
    plan.proof.value = plan.value;
    plan.proof.upper_value = std::max(plan.value, best_known_);
    plan.proof.upper_bound = std::max(plan.proof.upper_bound, plan.proof.boards);
    plan.proof.proven = plan.proof.margin_proven = false;
  }

  CandidatePlan candidate_of(const Wish& wish, const Found& found) const {
    CandidatePlan candidate;
    candidate.wish = wish.words;
    candidate.boards.assign(job_.targets.size(), 0);
    candidate.cut_x_m = found.cut_x_m;
    bool first = true;
    for (std::size_t i = 0; i < found.plans.size(); ++i) {
      const solver::SawPlan& plan = found.plans[i];
      candidate.pieces.push_back(gives_boards(plan));
      if (!candidate.pieces.back()) {
        continue;
      }
      const LogModel& log = found.pieces.empty() ? log_ : found.pieces[i];
      for (const solver::Board& board : plan.boards) {
        ++candidate.boards[wish.targets[board.target]];
        candidate.value += plan.targets[board.target].value;
      }
      candidate.wood_m3 += log.volume_m3();
      candidate.rolls += std::abs(plan.orientation.roll_rad) > kLeastRoll_rad ? 1 : 0;
      for (const solver::Flitch& flitch : plan.flitches) {
        candidate.rolls += flitch.kind == solver::Flitch::Kind::cant && !flitch.boards.empty() ? 1 : 0;
      }
      candidate.margin_m = first ? plan.margin_m : std::min(candidate.margin_m, plan.margin_m);
      candidate.picture += thumbnail(log, plan);
      first = false;
    }
    return candidate;
  }

  void add(const Wish& wish, Found& found, LogPlans& plans, LogModels& models) {
    CandidatePlan candidate = candidate_of(wish, found);
    candidate.plan = models.plans.size();
    std::move(found.plans.begin(), found.plans.end(), std::back_inserter(models.plans));
    std::move(found.kit_costs.begin(), found.kit_costs.end(), std::back_inserter(models.kit_costs));
    (found.can_be_sawn ? plans.candidates : cannot_be_sawn_).push_back(std::move(candidate));
  }

 public:
  /// What the kit cannot saw is offered only where there is nothing else: `plan` says then what is missing.
  void add_what_cannot_be_sawn(LogPlans& plans) {
    if (plans.candidates.empty()) {
      plans.candidates = std::move(cannot_be_sawn_);
    }
  }

 private:
  const PlanJob& job_;
  const LogModel& log_;
  bool own_kit_;
  solver::Kit kit_;
  bool first_ = true;
  double best_known_ = 0;
  std::vector<CandidatePlan> cannot_be_sawn_;
};

/// Whether nothing speaks for `worse` beside `better`.
bool is_beaten(const CandidatePlan& worse, const CandidatePlan& better) {
  for (std::size_t i = 0; i < worse.boards.size(); ++i) {
    if (worse.boards[i] > better.boards[i]) {
      return false;
    }
  }
  return worse.wood_m3 >= better.wood_m3 && worse.rolls >= better.rolls && worse.margin_m <= better.margin_m;
}

/// The first of equals stays.
void drop_the_beaten(std::vector<CandidatePlan>& candidates) {
  std::vector<CandidatePlan> kept;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    bool beaten = false;
    for (std::size_t j = 0; j < candidates.size() && !beaten; ++j) {
      beaten = j != i && is_beaten(candidates[i], candidates[j]) &&
               (j < i || !is_beaten(candidates[j], candidates[i]));
    }
    if (!beaten) {
      kept.push_back(candidates[i]);
    }
  }
  std::stable_sort(kept.begin(), kept.end(),
                   [](const CandidatePlan& a, const CandidatePlan& b) { return a.value > b.value; });
  candidates = std::move(kept);
}

/// Only the plans that a candidate needs.
void drop_unused_plans(LogPlans& plans, LogModels& models) {
  LogModels used = models;
  used.plans.clear();
  used.kit_costs.clear();
  for (CandidatePlan& candidate : plans.candidates) {
    const std::size_t first = used.plans.size();
    for (std::size_t i = 0; i < candidate.pieces.size(); ++i) {
      used.plans.push_back(models.plans[candidate.plan + i]);
      used.kit_costs.push_back(models.kit_costs[candidate.plan + i]);
    }
    candidate.plan = first;
  }
  models = std::move(used);
}

void describe(const LogModel& log, LogPlans& plans) {
  plans.length_m = log.length_m;
  plans.small_end_diameter_m = log.small_end_diameter_m();
  plans.large_end_diameter_m = log.large_end_diameter_m();
  plans.volume_m3 = log.volume_m3();
  plans.density_kg_m3 = log.density_kg_m3;
  plans.density_source = log.density_source;
  plans.weight_kg = plans.volume_m3 * log.density_kg_m3;
  plans.ends_in_scan_m = {log.frame.to_scan(log.small_end.point_m), log.frame.to_scan(log.large_end.point_m)};
}

/// What an exception says of a scan without its path, which is nothing that a plan may depend on.
Unreadable unreadable(const PlanJob& job, std::string why) {
  for (const auto& file : job.scan.files) {
    const std::string path = file.path.string();
    for (std::size_t at = why.find(path); at != std::string::npos; at = why.find(path, at)) {
      why.erase(at, path.size());
    }
  }
  return {why.substr(std::min(why.find_first_not_of(' '), why.size()))};
}

PlannedScan plan_readable(const PlanJob& job) {
  ModelledLog modelled = model_log(job.scan);
  PlannedScan result;
  result.plans.format = modelled.scan.format;
  if (modelled.outcome != ModelledLog::Outcome::done) {
    result.plans.outcome = LogPlans::Outcome::scan_will_not_do;
    result.plans.message = modelled.message;
    return result;
  }
  LogModels models;
  models.scan = std::move(modelled.scan);
  models.scan.file.clear();  // a copy of the scan elsewhere gives the same bytes
  models.log = std::move(modelled.log);
  models.points = std::move(modelled.points);
  models.warnings = modelled.warnings;
  result.plans.warnings = std::move(modelled.warnings);
  describe(models.log, result.plans);
  Planner planner(job, models.log);
  planner.run(result.plans, models);
  planner.add_what_cannot_be_sawn(result.plans);
  drop_the_beaten(result.plans.candidates);
  drop_unused_plans(result.plans, models);
  if (result.plans.candidates.empty()) {
    result.plans.outcome = LogPlans::Outcome::no_board_fits;
    return result;
  }
  result.plans.outcome = LogPlans::Outcome::planned;
  result.plans.message.reset();
  result.models = bytes_of(models);
  return result;
}

}  // namespace

PlannedScan plan_scan(const PlanJob& job) {
  solver::check(job.targets);
  solver::check(job.search);
  check_limits(job);
  require(job.priorities.size() == job.targets.size(), "a plan job needs one priority a target");
  try {
    return plan_readable(job);
  } catch (const InputError& error) {
    PlannedScan result;
    result.plans.outcome = LogPlans::Outcome::unreadable;
    result.plans.message = unreadable(job, error.what());
    return result;
  }
}

}  // namespace flitchwise::yard
