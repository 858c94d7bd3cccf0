#include "tools/report/paint/canvas.hpp"

#include <cairo-pdf.h>
#include <cairo-svg.h>

#include <cmath>
#include <memory>

#include "scan/model/errors.hpp"

namespace flitchwise::report {
namespace {

struct Destroyer {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Surface = std::unique_ptr<cairo_surface_t, Destroyer>;

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

void check_status(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS) {
    throw InputError(std::string("The drawing cannot be made: ") + cairo_status_to_string(status) + ".");
  }
}

void draw_on(const Surface& surface, const Draw& draw) {
  const std::unique_ptr<cairo_t, Destroyer> context(cairo_create(surface.get()));
  draw(context.get());
  check_status(cairo_status(context.get()));
}

Draw on_white(const Draw& draw) {
  return [&draw](cairo_t* cairo) {
    cairo_set_source_rgb(cairo, 1, 1, 1);
    cairo_paint(cairo);
    draw(cairo);
  };
}

void finish(const Surface& surface) {
  cairo_surface_finish(surface.get());
  check_status(cairo_surface_status(surface.get()));
}

}  // namespace

std::string pdf_bytes(const Eigen::Vector2d& size, const std::string& title, const Draw& draw) {
  std::string bytes;
  const Surface surface(cairo_pdf_surface_create_for_stream(append, &bytes, size.x(), size.y()));
  // Cairo would stamp the hour into the file.
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "1970-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  draw_on(surface, draw);
  finish(surface);
  return bytes;
}

std::string svg_bytes(const Eigen::Vector2d& size, const Draw& draw) {
  std::string bytes;
  const Surface surface(cairo_svg_surface_create_for_stream(append, &bytes, size.x(), size.y()));
  cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_PX);
  draw_on(surface, on_white(draw));
  finish(surface);
  return bytes;
}

std::string png_bytes(const Eigen::Vector2d& size, const Draw& draw) {
  constexpr double kPixels = 2;
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                                   static_cast<int>(std::ceil(kPixels * size.x())),
                                                   static_cast<int>(std::ceil(kPixels * size.y()))));
  cairo_surface_set_device_scale(surface.get(), kPixels, kPixels);
  draw_on(surface, on_white(draw));
  std::string bytes;
  check_status(cairo_surface_write_to_png_stream(surface.get(), append, &bytes));
  return bytes;
}

void draw_nowhere(const Draw& draw) {
  draw_on(Surface(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1)), draw);
}

}  // namespace flitchwise::report
