#include "tools/report/picture.hpp"

#include <cairo-svg.h>

#include <cmath>
#include <memory>
#include <numbers>

#include "scan/model/errors.hpp"
#include "tools/report/plan_words.hpp"

namespace flitchwise::report {
namespace {

constexpr double kTen = 10;  // the roll is shown to a tenth of a degree

constexpr double kPaperWidth = 1200;
constexpr double kMargin = 36;
constexpr double kTitleHeight = 64;
constexpr double kEndHeight = 420;
constexpr double kBetween = 24;
constexpr double kPixelScale = 2;  // PNG pixels a paper unit: sharp when zoomed on a phone

struct SurfaceDestroyer {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct ContextDestroyer {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Surface = std::unique_ptr<cairo_surface_t, SurfaceDestroyer>;
using Context = std::unique_ptr<cairo_t, ContextDestroyer>;

cairo_status_t append(void* closure, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(closure)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

void check_status(cairo_status_t status) {
  if (status != CAIRO_STATUS_SUCCESS) {
    throw InputError(std::string("The picture cannot be drawn: ") + cairo_status_to_string(status) + ".");
  }
}

void draw_title(Pen& pen, const Report& report) {
  const solver::SawPlan& plan = report.plan;
  const double roll_deg = std::round(kTen * degrees(report.sheet.roll_rad)) / kTen;
  std::string roll = "log as it lies";
  if (roll_deg != 0) {
    roll = "log rolled " + fixed(std::abs(roll_deg), 1) + "\u00B0 " +
           (roll_deg > 0 ? "clockwise" : "anticlockwise") + ", seen from the small end";
  }
  constexpr double kFirst = 24;
  constexpr double kSecond = 46;
  pen.text(boards_words(Units::millimetres, plan), {kMargin, kMargin + kFirst}, Pen::kTitle, Align::left,
           true);
  pen.text(roll + "; lengths in mm", {kMargin, kMargin + kSecond}, Pen::kText);
}

double paper_height(Pen& pen, const Report& report) {
  return kMargin + kTitleHeight + kEndHeight + kBetween +
         side_height(pen, report, kPaperWidth - 2 * kMargin) + kMargin;
}

void draw_all(Pen& pen, const Report& report) {
  constexpr double kFieldWidth = (kPaperWidth - 2 * kMargin - kBetween) / 2;
  const double top = kMargin + kTitleHeight;
  draw_title(pen, report);
  draw_ends(pen, report, {kMargin, top, kFieldWidth, kEndHeight},
            {kMargin + kFieldWidth + kBetween, top, kFieldWidth, kEndHeight});
  const double width = kPaperWidth - 2 * kMargin;
  draw_side(pen, report, {kMargin, top + kEndHeight + kBetween, width, side_height(pen, report, width)});
}

/// Height of the paper, which depends on the labels and so on the widths of their texts.
double measure(const Report& report) {
  const Surface scratch(cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1));
  const Context context(cairo_create(scratch.get()));
  Pen pen(context.get());
  return std::ceil(paper_height(pen, report));
}

}  // namespace

void Pen::stroke(double weight, const std::vector<double>& dashes) {
  cairo_set_dash(cairo_, dashes.data(), static_cast<int>(dashes.size()), 0);
  cairo_set_line_width(cairo_, weight);
  cairo_set_source_rgb(cairo_, 0, 0, 0);
  cairo_stroke(cairo_);
}

void Pen::line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double weight,
               const std::vector<double>& dashes) {
  cairo_move_to(cairo_, from.x(), from.y());
  cairo_line_to(cairo_, to.x(), to.y());
  stroke(weight, dashes);
}

void Pen::outline(const std::vector<Eigen::Vector2d>& corners, double weight, double grey,
                  const std::vector<double>& dashes) {
  for (const Eigen::Vector2d& corner : corners) {
    cairo_line_to(cairo_, corner.x(), corner.y());
  }
  cairo_close_path(cairo_);
  if (grey >= 0) {
    cairo_set_source_rgb(cairo_, grey, grey, grey);
    cairo_fill_preserve(cairo_);
  }
  stroke(weight, dashes);
}

void Pen::head(const Eigen::Vector2d& tip, const Eigen::Vector2d& direction) {
  constexpr double kLength = 8;
  constexpr double kHalfWidth = 3;
  const Eigen::Vector2d across(-direction.y(), direction.x());
  const Eigen::Vector2d foot = tip - kLength * direction;
  outline({tip, foot + kHalfWidth * across, foot - kHalfWidth * across}, kThin, 0);
}

void Pen::dimension(const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  constexpr double kLeast = 18;  // shorter ones have no room for two heads
  line(from, to, kThin);
  const double length = (to - from).norm();
  if (length >= kLeast) {
    head(to, (to - from) / length);
    head(from, (from - to) / length);
  }
}

void Pen::text(const std::string& words, const Eigen::Vector2d& at, double size, Align align, bool bold) {
  constexpr double kPad = 2;
  constexpr double kAscent = 0.8;  // of a line of text, as a share of its size
  constexpr double kDescent = 0.2;
  const double width = text_width(words, size, bold);
  const double left = at.x() - (align == Align::left ? 0 : align == Align::right ? width : width / 2);
  cairo_rectangle(cairo_, left - kPad, at.y() - kAscent * size, width + 2 * kPad,
                  (kAscent + kDescent) * size);
  cairo_set_source_rgb(cairo_, 1, 1, 1);
  cairo_fill(cairo_);
  bare_text(words, {left, at.y()}, size, bold);
}

void Pen::bare_text(const std::string& words, const Eigen::Vector2d& at, double size, bool bold) {
  select_font(size, bold);
  cairo_set_source_rgb(cairo_, 0, 0, 0);
  cairo_move_to(cairo_, at.x(), at.y());
  cairo_show_text(cairo_, words.c_str());
  cairo_new_path(cairo_);
}

void Pen::select_font(double size, bool bold) {
  cairo_select_font_face(cairo_, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(cairo_, size);
}

double Pen::text_width(const std::string& words, double size, bool bold) {
  select_font(size, bold);
  cairo_text_extents_t extents = {};
  cairo_text_extents(cairo_, words.c_str(), &extents);
  return extents.x_advance;
}

std::string picture_svg(const Report& report) {
  check(report);
  const double height = measure(report);
  std::string bytes;
  {
    const Surface surface(cairo_svg_surface_create_for_stream(append, &bytes, kPaperWidth, height));
    cairo_svg_surface_set_document_unit(surface.get(), CAIRO_SVG_UNIT_PX);
    const Context context(cairo_create(surface.get()));
    cairo_set_source_rgb(context.get(), 1, 1, 1);
    cairo_paint(context.get());
    Pen pen(context.get());
    draw_all(pen, report);
    check_status(cairo_status(context.get()));
    cairo_surface_finish(surface.get());
    check_status(cairo_surface_status(surface.get()));
  }
  return bytes;
}

std::string picture_png(const Report& report) {
  check(report);
  const double height = measure(report);
  const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                                   static_cast<int>(kPaperWidth * kPixelScale),
                                                   static_cast<int>(height * kPixelScale)));
  const Context context(cairo_create(surface.get()));
  cairo_scale(context.get(), kPixelScale, kPixelScale);
  cairo_set_source_rgb(context.get(), 1, 1, 1);
  cairo_paint(context.get());
  Pen pen(context.get());
  draw_all(pen, report);
  check_status(cairo_status(context.get()));
  std::string bytes;
  check_status(cairo_surface_write_to_png_stream(surface.get(), append, &bytes));
  return bytes;
}

}  // namespace flitchwise::report
