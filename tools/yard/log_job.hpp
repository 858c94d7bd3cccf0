#pragma once
/// What is done for one log of a yard, with nothing of the others: from its scan to candidate plans, and from
/// a chosen candidate to the files of its plan. Both work from values to values, so that they can run in a
/// process of their own.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "solver/plan/plan.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::yard {

/// From a scan to candidate plans. Only what has an influence on the result is in here, but for the names of
/// the files and the threads.
struct PlanJob {
  ScanRequest scan;
  std::vector<solver::Target> targets;  ///< what the order asks for: one a line
  std::vector<int> priorities;          ///< one a target; 1 goes first
  solver::SearchOptions search;         ///< pattern: the only one that is tried unless `all_patterns`
  bool all_patterns = true;
  std::optional<double> kerf_m;
  std::string kit_file;  ///< empty: the plain kit
  int most_plans = 16;   ///< searches a log; [1, 64]
};

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

/// Stands for the scan's file in messages and warnings; see with_file.
constexpr const char* kScanPlace = "{scan}";

/// `text` with the file's name in its place.
std::string with_file(std::string text, const std::string& file);

/// What the yard needs to know of a log to allocate it and to tell of it: small.
struct LogPlans {
  enum class Outcome { planned, no_board_fits, scan_will_not_do, unreadable, failed };
  Outcome outcome = Outcome::failed;
  std::string message;  ///< one sentence unless planned, with kScanPlace
  std::string format;   ///< of the scan, in words
  double length_m = 0;
  double small_end_diameter_m = 0;  ///< over bark, as the next two
  double large_end_diameter_m = 0;
  double volume_m3 = 0;
  double weight_kg = 0;
  double density_kg_m3 = 0;
  std::string density_source;
  std::array<Eigen::Vector3d, 2> ends_in_scan_m;  ///< middle of the small and the large end
  std::vector<std::string> warnings;
  std::vector<CandidatePlan> candidates;  ///< the most valuable first
};

/// What it takes to write the files of any of the candidates.
struct LogModels {
  ScanInfo scan;
  LogModel log;
  SeenPoints points;
  std::vector<std::string> warnings;
  std::vector<solver::SawPlan> plans;
  std::vector<std::optional<solver::KitCosts>> kit_costs;  ///< one a plan
};

struct PlannedScan {
  LogPlans plans;
  std::string models;  ///< LogModels as bytes; empty unless planned
};

/// Reads, fits and plans. Whatever is wrong with the scan is an outcome; throws BadUse for a job that is out
/// of range. The same for the same job and scan on every machine and with any number of threads.
PlannedScan plan_scan(const PlanJob& job);

/// From a chosen candidate to its files.
struct WriteJob {
  std::string models;  ///< as in PlannedScan
  CandidatePlan candidate;
  std::string log_name;  ///< stands for the scan's file in what is written
  std::string kit_file;
  std::optional<double> kerf_m;
  report::Settings settings;
  std::vector<std::string> notes;
  std::string folder;  ///< is made; pieces of a log cut in two go into piece-1 and piece-2 below it
};

/// Writes plan.json, sheet.pdf, plan.html and what else `flitchwise plan` writes. Throws InputError where
/// that fails.
void write_plan(const WriteJob& job);

}  // namespace flitchwise::yard
