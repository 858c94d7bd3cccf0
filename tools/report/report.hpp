#pragma once
/// What `flitchwise plan` writes and prints. Lengths are millimetres, angles degrees, weights kilograms in
/// all of it; numbers have a decimal point whatever the locale. Every function here throws BadUse unless the
/// plan's status is ok and the sheet belongs to the plan.

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/setup.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/report/advice.hpp"

namespace flitchwise::report {

enum class Units { millimetres, inches };  ///< of what people read; files for programs stay in millimetres
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
        advice(planned.advice),
        points(planned.points) {}

  const ScanInfo& scan;
  const LogModel& log;
  const solver::SawPlan& plan;
  const solver::HeightTolerance& tolerance;
  const solver::SetupSheet& sheet;
  const std::vector<Fact>& warnings;  ///< of scan, fit and search; the sheet's follow them
  const Advice& advice;
  const SeenPoints& points;
};

/// plan.json, version 1: tools/plan.schema.json documents every field.
std::string plan_json(const Report& report);
/// supports.csv: one line a support, bench frame. A gap that does not exist is empty.
std::string supports_csv(const Report& report);
/// cuts.csv: one line a cut, in order. A saw depth that is not set (chalk line) is empty.
std::string cuts_csv(const Report& report);
/// What stands behind the words of a fact, for example how to give what it asks for; see ask.hpp.
using Hint = std::function<std::string(const Fact&)>;

/// What a person wants first, in plain words; ends with a line end.
std::string short_answer(const Report& report, const Hint& hint = {});

/// The status of the support as a whole: of its worse screw, with the side where the two differ ("packer 12
/// mm left").
std::string support_status(const solver::Support& support);

/// The report's warnings and then the sheet's in words, each once.
std::vector<std::string> all_warnings(const Report& report, Units units, const Hint& hint = {});

}  // namespace flitchwise::report
