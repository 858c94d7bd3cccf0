#include "tools/report/sheet.hpp"

#include <cairo-pdf.h>

#include <memory>

#include "scan/model/errors.hpp"
#include "tools/report/sheet_cuts.hpp"
#include "tools/report/sheet_setup.hpp"

namespace flitchwise::report {
namespace {

struct SurfaceDestroyer {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextDestroyer {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

/// Writes the PDF; returns how many pages it has.
int render(const Report& report, int count, std::string& bytes) {
  const Eigen::Vector2d size = paper_size(report.paper);
  const std::unique_ptr<cairo_surface_t, SurfaceDestroyer> surface(
      cairo_pdf_surface_create_for_stream(append, &bytes, size.x(), size.y()));
  // Cairo would stamp the hour into the file; the same plan must give the same bytes.
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "1970-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, "Flitchwise setup sheet");
  const std::unique_ptr<cairo_t, ContextDestroyer> context(cairo_create(surface.get()));
  Pages pages(context.get(), size, report.scan.file, count);
  write_steps(pages, report);
  pages.finish();
  cairo_surface_finish(surface.get());
  for (const cairo_status_t status : {cairo_status(context.get()), cairo_surface_status(surface.get())}) {
    if (status != CAIRO_STATUS_SUCCESS) {
      throw InputError(std::string("The sheet cannot be drawn: ") + cairo_status_to_string(status) + ".");
    }
  }
  return pages.count();
}

}  // namespace

void write_steps(SheetOutput& output, const Report& report) {
  write_setup_steps(output, report);
  write_cut_steps(output, report);
}

std::string sheet_pdf(const Report& report) {
  check(report);
  std::string scratch;
  const int count = render(report, 0, scratch);
  std::string bytes;
  render(report, count, bytes);
  return bytes;
}

}  // namespace flitchwise::report
