#pragma once
/// What `flitchwise plan` writes and prints. Lengths are millimetres, angles degrees, weights kilograms in
/// all of it; numbers have a decimal point whatever the locale. Every function here throws BadUse unless the
/// plan's status is ok and the sheet belongs to the plan.

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "flitchwise/log_model.hpp"
#include "flitchwise/solver/plan.hpp"
#include "flitchwise/solver/setup.hpp"
#include "report/advice.hpp"

namespace flitchwise::report {

/// Where the points came from.
struct ScanInfo {
  std::string file;    ///< as the user named it; several with commas between
  std::string format;  ///< in words: "PLY, binary little endian"
  std::uint64_t points_read = 0;
  double scale = 1;          ///< metres for one unit of the file
  std::string scale_source;  ///< in words: "given length of the log"
  std::string up_source;     ///< in words: "ground"
};

/// The scan's points on and near the log, thinned for a picture.
struct SeenPoints {
  std::vector<Eigen::Vector3f> in_log_m;             ///< log frame
  std::vector<std::array<std::uint8_t, 3>> colours;  ///< red, green, blue: empty, or one a point
};

enum class Units { millimetres, inches };  ///< of what people read; files for programs stay in millimetres
enum class Paper { a4, letter };

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
};

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
/// What a person wants first, in plain words; ends with a line end.
std::string short_answer(const Report& report);

/// Writes plan.json, supports.csv, cuts.csv, sheet.pdf, plan.svg and plan.png, plan.html if this build has
/// the page, and templates.pdf if asked for, into `directory`, which is made if it is missing: all of them or
/// none. Returns their paths. Throws InputError.
std::vector<std::filesystem::path> write_report(const Report& report, const std::filesystem::path& directory);

/// The status of the support as a whole: of its worse screw, with the side where the two differ ("packer 12
/// mm left").
std::string support_status(const solver::Support& support);

/// The report's warnings and then the sheet's, each once.
std::vector<std::string> all_warnings(const Report& report);

}  // namespace flitchwise::report
