#pragma once
/// A plan with all that is written and printed of it. Files for programs hold millimetres, degrees and
/// kilograms; numbers have a decimal point whatever the locale. Every writer throws BadUse unless the plan's
/// status is ok and the sheet belongs to the plan.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"
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
FLITCHWISE_FIELDS(Settings, units, paper, templates)

/// What the writers below take: a planned log by reference, and how it is written down. Requires: outcome
/// done; `planned` lives as long as the report.
struct Report : Settings {
  explicit Report(const PlannedLog& planned, const Settings& settings = {})
      : Settings(settings),
        scan(planned.scan),
        log(planned.log),
        plan(planned.plan),
        tolerance(planned.tolerance),
        sheet(planned.sheet),
        warnings(planned.warnings),
        kit_costs(planned.kit_costs),
        advice(planned.advice),
        points(planned.points) {}

  const ScanInfo& scan;
  const LogModel& log;
  const solver::SawPlan& plan;
  const solver::HeightTolerance& tolerance;
  const solver::SetupSheet& sheet;
  const std::vector<Fact>& warnings;  ///< of scan, fit and search; the sheet's follow them
  const std::optional<solver::KitCosts>& kit_costs;
  const Advice& advice;
  const SeenPoints& points;
};

/// What stands behind the words of a fact, for example how to give what it asks for; see ask.hpp.
using Hint = std::function<std::string(const Fact&)>;

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
