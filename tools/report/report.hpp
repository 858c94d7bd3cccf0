#pragma once
/// What `flitchwise plan` writes and prints. Lengths are millimetres, angles degrees, weights kilograms in
/// all of it; numbers have a decimal point whatever the locale. Every function here throws BadUse unless the
/// plan's status is ok and the sheet belongs to the plan.

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

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

struct Report {
  ScanInfo scan;
  const LogModel& log;
  const solver::SawPlan& plan;
  const solver::HeightTolerance& tolerance;
  const solver::SetupSheet& sheet;
  std::vector<Fact> warnings;  ///< of scan, fit and search; the sheet's follow them
  Units units = Units::millimetres;
  Paper paper = Paper::a4;
  bool templates = false;  ///< write templates.pdf too
  Advice advice = {};      ///< what stands beside the plan
  SeenPoints points = {};  ///< for plan.html; may be empty
};

/// What the writers below take. Requires: outcome done; `planned` lives as long as the report.
Report report_of(const Settings& settings, const PlannedLog& planned);

/// plan.json, version 1: tools/plan.schema.json documents every field.
std::string plan_json(const Report& report);
/// supports.csv: one line a support, bench frame. A gap that does not exist is empty.
std::string supports_csv(const Report& report);
/// cuts.csv: one line a cut, in order. A saw depth that is not set (chalk line) is empty.
std::string cuts_csv(const Report& report);
/// plan.svg: both end faces and the side view, bench frame.
std::string picture_svg(const Report& report);
/// plan.png: the same picture.
std::string picture_png(const Report& report);
/// sheet.pdf: what is taken to the log, one page a group of steps, in black and white.
std::string sheet_pdf(const Report& report);
/// templates.pdf: both end faces at 1:1 with their marks, tiled over sheets, to pin on the log's ends.
std::string templates_pdf(const Report& report);
/// What stands behind the words of a fact, for example how to give what it asks for; see ask.hpp.
using Hint = std::function<std::string(const Fact&)>;

/// What a person wants first, in plain words; ends with a line end.
std::string short_answer(const Report& report, const Hint& hint = {});

/// Writes plan.json, supports.csv, cuts.csv, sheet.pdf, plan.svg and plan.png, plan.html if this build has
/// the page, and templates.pdf if asked for, into `directory`, which is made if it is missing: all of them or
/// none. Returns their paths. Throws InputError.
std::vector<std::filesystem::path> write_report(const Report& report, const std::filesystem::path& directory);

/// The status of the support as a whole: of its worse screw, with the side where the two differ ("packer 12
/// mm left").
std::string support_status(const solver::Support& support);

/// The report's warnings and then the sheet's in words, each once.
std::vector<std::string> all_warnings(const Report& report, Units units, const Hint& hint = {});

}  // namespace flitchwise::report
