#pragma once
/// A yard of logs against an order, from a folder of scans to which log becomes what: a library call for
/// programs; `flitchwise yard` is its command.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/limits.hpp"
#include "solver/allocate/order.hpp"
#include "solver/allocate/shortages.hpp"
#include "solver/plan/plan.hpp"
#include "tools/job/model_log.hpp"
#include "tools/report/report.hpp"
#include "tools/yard/content_hash.hpp"
#include "tools/yard/log_job.hpp"
#include "tools/yard/workers.hpp"

namespace flitchwise::yard {

/// What is asked. Lengths in metres.
struct YardRequest {
  std::filesystem::path folder;      ///< with the scans, and logs.csv if there is one (see list_logs.hpp)
  std::filesystem::path order_file;  ///< is no scan, wherever it lies; may be empty
  solver::Order order;
  /// What holds for every scan that logs.csv says nothing else of. `files` and `near_in_file` are not used.
  ScanRequest scan;
  /// Of each plan. Plans end by `most_nodes` and not by the time limit, so that they come out the same on
  /// every machine.
  solver::SearchOptions search = plan_search();
  bool all_patterns = true;  ///< try cants beside search.pattern
  std::optional<double> kerf_m;
  std::optional<solver::Kit> kit;  ///< empty: the plain kit
  report::Settings settings;       ///< of the plans that are written
  std::vector<Fact> notes;         ///< as PlanRequest::notes
  int most_plans = 16;             ///< that are looked for a log; [1, 64]
  std::filesystem::path out;       ///< for the store, the tables and the plans; made if it is missing
  WorkerOptions workers;
  int shard = 1;   ///< plan only every `shards`-th scan, this one first; then nothing is allocated or written
  int shards = 1;  ///< [1, 10000]
  std::vector<std::filesystem::path> merge;  ///< stores of other runs whose plans are taken over first

  /// Whether a scan's files are all there; those of which it says no are left for later. Empty: all are.
  std::function<bool(const std::vector<FileState>&)> is_complete;

  static solver::SearchOptions plan_search();
};
FLITCHWISE_FIELDS(YardRequest, folder, order_file, order, scan, search, all_patterns, kerf_m, kit, settings,
                  notes, most_plans, out, workers, shard, shards, merge, is_complete)
constexpr auto limits_of(const YardRequest*) {
  return std::tuple{Limit{&YardRequest::kerf_m, {0, 0.05}}, Limit{&YardRequest::most_plans, {1, 64}},
                    Limit{&YardRequest::shard, {1, 10000}}, Limit{&YardRequest::shards, {1, 10000}}};
}

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const YardRequest& request);

struct YardLog {
  enum class State {
    saw,            ///< its chosen plan is part of the answer
    saved,          ///< it could be sawn, but the order needs it not
    no_board_fits,  ///< for none of the order's sizes
    scan_will_not_do,
    unreadable,
    failed,      ///< its planning broke off; it is tried again by the next run
    duplicate,   ///< the same scan as another one
    not_planned  ///< left to another shard, or the run was stopped before
  };
  State state = State::not_planned;
  std::string name;     ///< by which people call it: its file below the folder, unless logs.csv names it
  std::string file;     ///< below the folder
  std::string message;  ///< what befell it in this yard, one sentence; what its scan lacks is told by `plans`
  LogPlans plans;       ///< valid for saw, saved and, without candidates, no_board_fits
  std::size_t chosen = 0;             ///< index of the candidate; valid for saw
  int saw_as = 0;                     ///< place in the order of sawing, from 1; 0: not sawn
  std::filesystem::path plan_folder;  ///< below `out`; valid for saw
};

struct YardResult {
  bool finished = false;          ///< false: stopped by WorkerOptions::stop; what is planned is kept
  std::vector<YardLog> logs;      ///< sorted by file and name
  bool allocated = false;         ///< not for a shard, and not if it was stopped
  solver::Allocation allocation;  ///< if allocated; its indices are not those of `logs`
  std::vector<solver::Shortage> shortages;  ///< if allocated
  std::size_t planned_now = 0;              ///< scans that this run planned
  std::size_t known_before = 0;             ///< scans whose plans the store held
  double processor_seconds = 0;             ///< of this run's workers
  std::uint64_t peak_mib = 0;               ///< most memory of a worker; 0: not known
  std::string peak_log;                     ///< of which log
  std::vector<std::string> notes;  ///< one sentence each: rows of logs.csv without a scan, and the like
};

/// What a run tells while it works; all may be empty. Called in the thread of plan_yard.
struct YardListener {
  std::function<void(std::string_view stage)> on_stage;
  /// `seconds_left`: negative as long as nobody can know.
  std::function<void(std::size_t done, std::size_t count, double seconds_left)> on_planned;
};

/// Finds the scans, plans those that the store does not hold, allocates them to the order and writes
/// yard.csv, coverage.csv, loads.csv, yard.html and a folder of files for each log that is sawn. Tables and
/// plans are the same for the same scans, order and options: on whatever machine, with however many jobs, and
/// however often the run was broken off; only plan.svg numbers its parts on within one process. Throws BadUse
/// for a request that is out of range and for a folder at which another run is at work; InputError for a
/// folder, kit, table or store that cannot be read or written, and where there is no scan.
YardResult plan_yard(const YardRequest& request, const YardListener& listener = {});

}  // namespace flitchwise::yard
