#include "tools/report/sheet_supports.hpp"

#include "tools/report/setup_words.hpp"
#include "tools/report/sheet_words.hpp"
#include "tools/report/sheet_writer.hpp"

namespace flitchwise::report {
namespace {

class SupportTable : SheetWriter {
 public:
  using SheetWriter::SheetWriter;

  void write(const std::vector<solver::Support>& supports, bool string) {
    const double figure = units_ == Units::inches ? 2.3 : 1.5;  // of the width, beside the number's 1
    std::vector<SheetOutput::Column> columns = {{"No.", 1, true},
                                                {with_unit("at"), figure + 0.2, true},
                                                {with_unit("left"), figure, true},
                                                {with_unit("right"), figure, true},
                                                {"do", string ? 3.2 : 4.0}};
    if (string) {
      columns.push_back({"gauge", 3.1});
    }
    std::vector<SheetOutput::Row> rows;
    bool unseen = false;
    for (const solver::Support& support : supports) {
      rows.push_back({std::to_string(support.support), bare(support.x_m), gap(support.left),
                      gap(support.right), status(support)});
      if (string) {
        const bool bears = !gap(support.left).starts_with('-') || !gap(support.right).starts_with('-');
        rows.back().push_back(bears ? gauge_feel(units_, support) : "-");
      }
      unseen = unseen || rows.back()[2].ends_with('?') || rows.back()[3].ends_with('?');
    }
    output_.table(columns, rows, true, units_ == Units::inches ? 13 : 16);
    if (unseen) {
      output_.paragraph("?  The scan did not see the bark here: measure the gap yourself.");
    }
  }

 private:
  std::string gap(const solver::ScrewPoint& screw) const {
    const std::string gap = bare(screw.gap_m);
    return gap.empty() ? "-" : gap + (screw.seen ? "" : "?");
  }

  std::string status(const solver::Support& support) const {
    if (support.x_m < 0 || support.x_m > report_.log.usable_length_m()) {
      return "off the log";
    }
    std::string words = status_words(support, units_);
    if (support.same_place_as > 0) {
      words += ", where support " + std::to_string(support.same_place_as) + " stood";
    }
    return words;
  }
};

}  // namespace

void write_supports(SheetOutput& output, const Report& report, const std::vector<solver::Support>& supports,
                    bool string) {
  SupportTable(output, report).write(supports, string);
}

}  // namespace flitchwise::report
