#pragma once
/// Numbers and tables as text, and what several writers need to know of a report.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "scan/model/units.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

double degrees(double radians);
/// `value` to this many digits after the point, never "-0"; "" if it is not finite.
std::string fixed(double value, int digits);
/// Metres as millimetres: "62".
std::string mm(double length_m, int digits = 0);
/// Sixteenths of an inch in words: "2 7/16", "0", "-1/2"; "" if the length is not finite.
std::string inches(double length_m);
/// A length as people read it, without its unit: whole millimetres, or inches to the nearest 1/16.
std::string bare_length(Units units, double length_m);
/// The same with its unit: "62 mm", "2 7/16 in".
std::string length_text(Units units, double length_m);
/// A saw depth without its unit: to half a millimetre, as a depth stop is set, or to 1/16 inch.
std::string bare_depth(Units units, double depth_m);
/// "mm" or "in".
std::string unit_name(Units units);
/// A weight without its unit, whole kilograms or pounds: "59", "130"; "<1" below half of one.
std::string bare_weight(Units units, double weight_kg);
/// The same with its unit: "59 kg", "130 lb".
std::string weight_text(Units units, double weight_kg);
/// "kg" or "lb".
std::string weight_unit(Units units);
/// A sentence that holds lengths in millimetres and weights in kilograms, with all of them in `units`:
/// "12 mm", "50x150x3000 mm", "23 kg".
std::string in_units(Units units, const std::string& sentence);

/// `words` of a fact with its hint before the full stop: "... by tape (--scale-length)."
std::string with_hint(const std::string& words, const Fact& fact, const Hint& hint);

/// "1 board", "9 boards".
std::string counted(std::size_t count, const std::string& noun);
/// "9 boards of 50x150x3000 mm", "11 boards: 6 of 50x150x3000 mm, 5 of 25x100x3000 mm".
std::string boards_of(const solver::SawPlan& plan);

/// Text broken at blanks into lines; the first starts with `first`, the others with as many blanks. Ends with
/// a line end.
std::string wrapped(const std::string& text, const std::string& first);

/// Rows of words as lines of columns, two blanks between; `right` marks the columns that align right.
std::string table(const std::vector<std::vector<std::string>>& rows, const std::vector<bool>& right,
                  const std::string& indent);

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

/// Word of plan.json and cuts.csv: "opening", "level", "crosscut", "edging" or "cant".
std::string kind_text(solver::Cut::Kind kind);

}  // namespace flitchwise::report
