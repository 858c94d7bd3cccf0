#include "tools/report/sheet_supports.hpp"

#include "tools/report/setup_words.hpp"
#include "tools/report/sheet_words.hpp"

namespace flitchwise::report {
namespace {

std::string gap_words(Units units, const solver::ScrewPoint& screw) {
  const std::string gap = bare_length(units, screw.gap_m);
  return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
}

/// What is to be done, and what stands at the place already.
std::string task_words(const Report& report, const solver::Support& support) {
  if (support.x_m < 0 || support.x_m > report.log.usable_length_m()) {
    return "off the log";
  }
  return status_words(support, report.units) +
         (support.same_place_as > 0 ? ", where support " + std::to_string(support.same_place_as) + " stood"
                                    : "");
}

}  // namespace

void write_supports(SheetOutput& output, const Report& report, const std::vector<solver::Support>& supports,
                    bool string) {
  const Units units = report.units;
  const std::string unit = ' ' + unit_name(units);
  const double figure = units == Units::inches ? 2.3 : 1.5;  // of the width, beside the number's 1
  std::vector<SheetOutput::Column> columns = {{"No.", 1, true},
                                              {"at" + unit, figure + 0.2, true},
                                              {"left" + unit, figure, true},
                                              {"right" + unit, figure, true},
                                              {"do", string ? 3.2 : 4.0}};
  if (string) {
    columns.push_back({"gauge", 3.1});
  }
  std::vector<SheetOutput::Row> rows;
  bool unseen = false;
  for (const solver::Support& support : supports) {
    const std::string left = gap_words(units, support.left);
    const std::string right = gap_words(units, support.right);
    rows.push_back({std::to_string(support.support), bare_length(units, support.x_m), left, right,
                    task_words(report, support)});
    if (string) {
      rows.back().push_back(left != "-" || right != "-" ? gauge_feel(units, support) : "-");
    }
    unseen = unseen || left.ends_with('?') || right.ends_with('?');
  }
  output.table(columns, rows, true, units == Units::inches ? 13 : 16);
  if (unseen) {
    output.paragraph("?  The scan did not see the bark here: measure the gap yourself.");
  }
}

}  // namespace flitchwise::report
