#include "tools/report/paint/write_report.hpp"

#include "tools/report/files.hpp"
#include "tools/report/page.hpp"
#include "tools/report/paint/picture.hpp"
#include "tools/report/paint/sheet_pdf.hpp"
#include "tools/report/paint/templates.hpp"
#include "tools/report/plan_json.hpp"
#include "tools/report/tables.hpp"

namespace flitchwise::report {

std::vector<std::filesystem::path> write_report(const Report& report,
                                                const std::filesystem::path& directory) {
  std::vector<NamedBytes> files = {{"plan.json", plan_json(report)},  {"supports.csv", supports_csv(report)},
                                   {"cuts.csv", cuts_csv(report)},    {"sheet.pdf", sheet_pdf(report)},
                                   {"plan.svg", picture_svg(report)}, {"plan.png", picture_png(report)}};
  if (page_available()) {
    files.push_back({"plan.html", page_html(report)});
  }
  if (report.templates) {
    files.push_back({"templates.pdf", templates_pdf(report)});
  }
  return write_together(directory, files);
}

}  // namespace flitchwise::report
