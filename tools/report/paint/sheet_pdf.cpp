#include "tools/report/paint/sheet_pdf.hpp"

#include "tools/report/paint/canvas.hpp"
#include "tools/report/paint/pages.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {

std::string sheet_pdf(const Report& report) {
  check(report);
  const Eigen::Vector2d size = paper_size(report.paper);
  int count = 0;  // of all pages, known only when they have been drawn once
  const auto draw = [&](cairo_t* cairo) {
    Pages pages(cairo, size, report.scan.file, count);
    write_steps(pages, report);
    pages.finish();
    count = pages.count();
  };
  draw_nowhere(draw);
  return pdf_bytes(size, "Flitchwise setup sheet", draw);
}

}  // namespace flitchwise::report
