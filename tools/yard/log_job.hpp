#pragma once
/// What is done for one log of a yard, with nothing of the others: from its scan to candidate plans, and from
/// a chosen candidate to the files of its plan. Both work from values to values, so that they can run in a
/// process of their own.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/limits.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/kit.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::yard {

/// From a scan to candidate plans. Only what has an influence on the result is in here, but for scan.files,
/// whose bytes have, and search.threads: key_of leaves these out.
struct PlanJob {
  ScanRequest scan;
  std::vector<solver::Target> targets;  ///< what the order asks for: one a line
  std::vector<int> priorities;          ///< one a target; 1 goes first
  solver::SearchOptions search;         ///< pattern: the only one that is tried unless `all_patterns`
  bool all_patterns = true;
  std::optional<double> kerf_m;
  std::optional<solver::Kit> kit;  ///< empty: the plain kit
  int most_plans = 16;             ///< searches a log; [1, 64]
};
FLITCHWISE_FIELDS(PlanJob, scan, targets, priorities, search, all_patterns, kerf_m, kit, most_plans)
constexpr auto limits_of(const PlanJob*) {
  return std::tuple{Limit{&PlanJob::most_plans, {1, 64}}};
}

/// One way to saw the log.
struct CandidatePlan {
  std::string wish;         ///< what was looked for, in words
  std::vector<int> boards;  ///< that it gives, one count a target
  double value = 0;         ///< of them, by the targets' values
  double wood_m3 = 0;       ///< over bark, of the log or of the pieces that are sawn
  int rolls = 0;            ///< of the log or its pieces, and quarter turns of cants
  double margin_m = 0;
  double cut_x_m = 0;        ///< middle of the cross-cut that comes first, log frame; 0: none
  std::string picture;       ///< the small end with its boards, as an SVG element
  std::size_t plan = 0;      ///< index of its first plan in LogModels::plans
  std::vector<bool> pieces;  ///< whole log: one; cut in two: two, the small end's first. Whether it is sawn
};
FLITCHWISE_FIELDS(CandidatePlan, wish, boards, value, wood_m3, rolls, margin_m, cut_x_m, picture, plan,
                  pieces)

/// What the yard needs to know of a log to allocate it and to tell of it: small.
struct LogPlans {
  enum class Outcome { planned, no_board_fits, scan_will_not_do, unreadable, failed };
  Outcome outcome = Outcome::failed;
  std::optional<Fact> message;  ///< unless planned
  scan::FileFormat format;
  double length_m = 0;
  double small_end_diameter_m = 0;  ///< over bark, as the next two
  double large_end_diameter_m = 0;
  double volume_m3 = 0;
  double weight_kg = 0;
  double density_kg_m3 = 0;
  DensitySource density_source;
  /// Middle of the small and the large end.
  std::array<Eigen::Vector3d, 2> ends_in_scan_m{Eigen::Vector3d::Zero(), Eigen::Vector3d::Zero()};
  std::vector<Fact> warnings;
  std::vector<CandidatePlan> candidates;  ///< the most valuable first
};
FLITCHWISE_FIELDS(LogPlans, outcome, message, format, length_m, small_end_diameter_m, large_end_diameter_m,
                  volume_m3, weight_kg, density_kg_m3, density_source, ends_in_scan_m, warnings, candidates)

/// What it takes to write the files of any of the candidates.
struct LogModels {
  ScanInfo scan;
  LogModel log;
  SeenPoints points;
  std::vector<Fact> warnings;
  std::vector<solver::SawPlan> plans;
  std::vector<std::optional<solver::KitCosts>> kit_costs;  ///< one a plan
};
FLITCHWISE_FIELDS(LogModels, scan, log, points, warnings, plans, kit_costs)

struct PlannedScan {
  LogPlans plans;
  std::string models;  ///< LogModels as bytes; empty unless planned
};
FLITCHWISE_FIELDS(PlannedScan, plans, models)

/// From a chosen candidate to its files.
struct WriteJob {
  std::string models;  ///< as in PlannedScan
  CandidatePlan candidate;
  std::string log_name;  ///< stands for the scan's file in what is written
  std::optional<solver::Kit> kit;
  std::optional<double> kerf_m;
  report::Settings settings;
  std::vector<Fact> notes;
  std::string folder;  ///< is made; pieces of a log cut in two go into piece-1 and piece-2 below it
};
FLITCHWISE_FIELDS(WriteJob, models, candidate, log_name, kit, kerf_m, settings, notes, folder)

}  // namespace flitchwise::yard
