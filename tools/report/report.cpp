#include "tools/report/report.hpp"

namespace flitchwise::report {

Report report_of(const Settings& settings, const PlannedLog& planned) {
  Report report{planned.scan, planned.log, planned.plan, planned.tolerance, planned.sheet, planned.warnings};
  report.advice = planned.advice;
  report.units = settings.units;
  report.paper = settings.paper;
  report.templates = settings.templates;
  report.points = planned.points;
  return report;
}

}  // namespace flitchwise::report
