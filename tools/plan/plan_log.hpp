#pragma once
/// The main job from end to end: scan file in, plan and setup out.

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "flitchwise/log_model.hpp"
#include "flitchwise/solver/plan.hpp"
#include "flitchwise/solver/setup.hpp"
#include "report/report.hpp"

namespace flitchwise {

/// What the person asks for. Lengths in metres.
struct PlanRequest {
  std::filesystem::path scan;
  solver::Target target;
  solver::SearchOptions search;  ///< its kerfs come from the kit unless `kerf_m` is given
  std::optional<double> kerf_m;
  std::optional<std::filesystem::path> kit;  ///< empty: the plain kit
  std::optional<double> bark_m;
  std::string species;                   ///< empty: unknown
  std::optional<double> scale_length_m;  ///< tape measure of the log's length, which settles the scale
  double metres_per_unit = 1;            ///< of the file, where no tape measure is given
  std::optional<Eigen::Vector3d> up;     ///< axis of the file that points up; empty: from the ground
  bool allow_unseen_ends = false;
};

struct PlannedLog {
  enum class Outcome { done, scan_will_not_do, no_board_fits };
  Outcome outcome = Outcome::scan_will_not_do;
  std::string message;  ///< one sentence unless done
  report::ScanInfo scan;
  LogModel log;                       ///< valid unless the scan will not do
  solver::SawPlan plan;               ///< valid if done
  solver::HeightTolerance tolerance;  ///< valid if done
  solver::SetupSheet sheet;           ///< valid if done
  std::vector<std::string> warnings;  ///< of the scan and the fit, the gravest first; the sheet has its own
};

/// Is told each stage as it begins, in words for people.
using OnStage = std::function<void(std::string_view)>;

/// Reads, isolates, fits, searches and sets up. Throws InputError for a file that cannot be read and BadUse
/// for a request that is out of range; anything that the scan cannot support is an outcome with a message.
PlannedLog plan_log(const PlanRequest& request, const OnStage& on_stage = {});

}  // namespace flitchwise
