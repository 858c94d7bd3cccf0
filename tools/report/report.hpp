#pragma once
/// A plan with all that is written and printed of it. Files for programs hold millimetres, degrees and
/// kilograms; numbers have a decimal point whatever the locale. Every writer throws BadUse unless the plan's
/// status is ok and the sheet belongs to the plan.

#include <optional>
#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/setup.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {

enum class Paper { a4, letter };

/// How a plan is written down.
struct Settings {
  Units units = Units::millimetres;
  Paper paper = Paper::a4;
  bool templates = false;  ///< write templates.pdf too
};

struct Report {
  ScanInfo scan;
  const LogModel& log;
  const solver::SawPlan& plan;
  const solver::HeightTolerance& tolerance;
  const solver::SetupSheet& sheet;
  std::vector<std::string> warnings;  ///< of scan, fit and search, one sentence each; the sheet's follow them
  Units units = Units::millimetres;
  Paper paper = Paper::a4;
  bool templates = false;  ///< write templates.pdf too
  Advice advice = {};      ///< what stands beside the plan
  SeenPoints points = {};  ///< for plan.html; may be empty
  std::optional<solver::KitCosts> kit_costs = {};
};

/// What the writers take. Requires: outcome done; `planned` lives as long as the report.
Report report_of(const Settings& settings, const PlannedLog& planned);

/// plan.svg: both end faces and the side view, bench frame.
std::string picture_svg(const Report& report);
/// plan.png: the same picture.
std::string picture_png(const Report& report);
/// sheet.pdf: what is taken to the log, one page a group of steps, in black and white.
std::string sheet_pdf(const Report& report);
/// templates.pdf: both end faces at 1:1 with their marks, tiled over sheets, to pin on the log's ends.
std::string templates_pdf(const Report& report);

/// Throws BadUse unless plan and sheet can be reported.
void check(const Report& report);
/// A point of the log frame in the bench frame.
Eigen::Vector3d to_bench(const Report& report, const Eigen::Vector3d& in_log_m);
/// Bench-frame height of a cut plane over x, at y = 0.
double height_at(const Report& report, const solver::CutPlane& plane, double x_m);
/// The plan's planes that the opening cut does not make.
std::vector<solver::CutPlane> later_planes(const Report& report);
/// The opening cut in the cut list; nullptr if there is none.
const solver::Cut* opening_cut(const solver::SetupSheet& sheet);

}  // namespace flitchwise::report
