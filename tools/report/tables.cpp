#include "tools/report/tables.hpp"

#include <vector>

#include "tools/report/cut_words.hpp"
#include "tools/report/setup_words.hpp"

namespace flitchwise::report {
namespace {

constexpr int kTenths = 1;
constexpr int kNormalDigits = 6;  // a millionth of a radian

std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) {
    return text;
  }
  std::string quoted = "\"";
  for (const char letter : text) {
    quoted += letter;
    if (letter == '"') {
      quoted += '"';
    }
  }
  return quoted + '"';
}

std::string csv_line(const std::vector<std::string>& values) {
  std::string line;
  for (const std::string& value : values) {
    line += quoted(value) + ',';
  }
  line.back() = '\n';
  return line;
}

}  // namespace

std::string supports_csv(const Report& report) {
  check(report);
  std::string text = csv_line({"rail_position", "support", "x_mm", "y_left_mm", "y_right_mm", "gap_left_mm",
                               "gap_right_mm", "status", "status_left", "status_right"});
  for (const solver::Support& support : report.sheet.supports) {
    text += csv_line(
        {std::to_string(support.rail_position), std::to_string(support.support), mm(support.x_m, kTenths),
         mm(support.left.y_m, kTenths), mm(support.right.y_m, kTenths), mm(support.left.gap_m, kTenths),
         mm(support.right.gap_m, kTenths), status_words(support, Units::millimetres),
         status_words(support.left, Units::millimetres), status_words(support.right, Units::millimetres)});
  }
  return text;
}

std::string cuts_csv(const Report& report) {
  check(report);
  std::string text =
      csv_line({"order", "kind", "piece", "rests_on", "saw_depth_mm", "width_mm", "piece_weight_kg",
                "point_x_mm", "point_y_mm", "point_z_mm", "normal_x", "normal_y", "normal_z"});
  for (const solver::Cut& cut : report.sheet.cuts) {
    std::vector<std::string> values = {std::to_string(cut.order),
                                       kind_word(cut.kind),
                                       piece_words(cut.piece),
                                       rests_on_words(cut),
                                       cut.saw_depth_m > 0 ? mm(cut.saw_depth_m, kTenths) : std::string(),
                                       mm(cut.width_m, kTenths),
                                       fixed(cut.piece_weight_kg, kTenths)};
    for (const double value : cut.plane.point_m) {
      values.push_back(mm(value, kTenths));
    }
    for (const double value : cut.plane.normal) {
      values.push_back(fixed(value, kNormalDigits));
    }
    text += csv_line(values);
  }
  return text;
}

}  // namespace flitchwise::report
