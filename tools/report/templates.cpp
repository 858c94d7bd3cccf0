#include <cairo-pdf.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/report/sheet.hpp"

namespace flitchwise::report {
namespace {

using Corners = std::vector<Eigen::Vector2d>;

constexpr double kPointsAMm = 72 / 25.4;
constexpr double kMargin = 12;   // mm: what no printer prints on
constexpr double kOverlap = 14;  // mm: what neighbouring sheets both show
constexpr double kNotes = 16;    // mm: at the foot of each sheet, for its notes and the check bar
constexpr double kAround = 12;   // mm: kept free around the end face
constexpr double kCheckBar = 100;

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

/// One end face at 1:1, log rolled, as someone sees it who stands before it. Millimetres: to the right and
/// down from the plumb line and the opening cut.
class EndTemplate {
 public:
  EndTemplate(cairo_t* cairo, const Report& report, bool large_end)
      : cairo_(cairo),
        report_(report),
        large_end_(large_end),
        station_(large_end ? report.log.stations.back() : report.log.stations.front()),
        mark_(large_end ? report.sheet.large_end : report.sheet.small_end) {
    const Eigen::Vector2d pith = large_end ? report.log.pith.large_end_m : report.log.pith.small_end_m;
    pith_ = to_bench(report, {station_.x_m, pith.x(), pith.y()}).tail<2>();
    bark_ = paper(bark_outline_m(station_));
    wood_ = paper(planning_outline_m(station_, 0));
    for (const Eigen::Vector2d& corner : bark_) {
      least_ = least_.cwiseMin(corner);
      most_ = most_.cwiseMax(corner);
    }
    least_.y() = std::min(least_.y(), -rail_up());
    const double rail = half_rail();
    least_.x() = std::min(least_.x(), rail_middle() - rail);
    most_.x() = std::max(most_.x(), rail_middle() + rail);
    least_ -= Eigen::Vector2d::Constant(kAround);
    most_ += Eigen::Vector2d::Constant(kAround);
  }

  void draw(const Eigen::Vector2d& page) {
    const Eigen::Vector2d cell =
        page - Eigen::Vector2d::Constant(2 * kMargin + kOverlap) - Eigen::Vector2d(0, kNotes);
    const int columns = static_cast<int>(std::ceil((most_.x() - least_.x()) / cell.x()));
    const int rows = static_cast<int>(std::ceil((most_.y() - least_.y()) / cell.y()));
    // The end face in the middle of all its sheets.
    const Eigen::Vector2d all(columns * cell.x(), rows * cell.y());
    const Eigen::Vector2d first = (least_ + most_ - all) / 2;
    for (int row = 0; row < rows; ++row) {
      for (int column = 0; column < columns; ++column) {
        const Eigen::Vector2d corner = first + Eigen::Vector2d(column * cell.x(), row * cell.y());
        draw_tile(page, corner, cell);
        const std::string where = "row " + std::to_string(row + 1) + " of " + std::to_string(rows) +
                                  ", column " + std::to_string(column + 1) + " of " + std::to_string(columns);
        draw_notes(page, where);
        cairo_show_page(cairo_);
      }
    }
  }

 private:
  Corners paper(const Eigen::MatrixX2d& in_log_m) const {
    Corners corners;
    for (const auto& row : in_log_m.rowwise()) {
      const Eigen::Vector2d bench = to_bench(report_, {station_.x_m, row.x(), row.y()}).tail<2>();
      corners.emplace_back(side() * (bench.x() - pith_.x()) * kMmAMetre,
                           (pith_.y() + mark_.above_pith_m - bench.y()) * kMmAMetre);
    }
    return corners;
  }
  double side() const { return large_end_ ? 1 : -1; }
  double rail_up() const { return (mark_.bracket_above_pith_m - mark_.above_pith_m) * kMmAMetre; }
  double rail_middle() const { return side() * mark_.rail_left_m * kMmAMetre; }
  double half_rail() const {
    const solver::Kit& kit = report_.sheet.kit;
    return std::max(kit.bracket_width_m, kit.rail_width_m) / 2 * kMmAMetre;
  }

  void stroke(double width, const std::vector<double>& dashes = {}) {
    cairo_set_dash(cairo_, dashes.data(), static_cast<int>(dashes.size()), 0);
    cairo_set_line_width(cairo_, width);
    cairo_set_source_rgb(cairo_, 0, 0, 0);
    cairo_stroke(cairo_);
  }
  void line(double from_x, double from_y, double to_x, double to_y, double width,
            const std::vector<double>& dashes = {}) {
    cairo_move_to(cairo_, from_x, from_y);
    cairo_line_to(cairo_, to_x, to_y);
    stroke(width, dashes);
  }
  void outline(const Corners& corners, double width, const std::vector<double>& dashes = {}) {
    for (const Eigen::Vector2d& corner : corners) {
      cairo_line_to(cairo_, corner.x(), corner.y());
    }
    cairo_close_path(cairo_);
    stroke(width, dashes);
  }
  void text(const std::string& words, double x, double y, double size) {
    cairo_select_font_face(cairo_, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cairo_, size);
    cairo_set_source_rgb(cairo_, 0, 0, 0);
    cairo_move_to(cairo_, x, y);
    cairo_show_text(cairo_, words.c_str());
    cairo_new_path(cairo_);
  }

  void draw_tile(const Eigen::Vector2d& page, const Eigen::Vector2d& corner, const Eigen::Vector2d& cell) {
    cairo_save(cairo_);
    cairo_rectangle(cairo_, kMargin, kMargin, page.x() - 2 * kMargin, page.y() - 2 * kMargin - kNotes);
    cairo_clip(cairo_);
    const double inset = kMargin + kOverlap / 2;
    cairo_translate(cairo_, inset - corner.x(), inset - corner.y());
    draw_end();
    constexpr double kArm = 5;
    for (const double x : {corner.x(), corner.x() + cell.x()}) {
      for (const double y : {corner.y(), corner.y() + cell.y()}) {
        line(x - kArm, y, x + kArm, y, 0.2);
        line(x, y - kArm, x, y + kArm, 0.2);
      }
    }
    cairo_restore(cairo_);
  }

  void draw_end() {
    constexpr double kCross = 10;
    outline(bark_, 0.3);
    outline(wood_, 0.2, {3, 2});
    line(0, least_.y(), 0, most_.y(), 0.2, {8, 2, 1, 2});
    line(least_.x(), 0, most_.x(), 0, 0.6);
    line(rail_middle() - half_rail(), -rail_up(), rail_middle() + half_rail(), -rail_up(), 0.6);
    const double pith = mark_.above_pith_m * kMmAMetre;
    line(-kCross, pith, kCross, pith, 0.3);
    for (const solver::CutPlane& plane : report_.plan.planes) {
      const double down =
          (pith_.y() + mark_.above_pith_m - height_at(report_, plane, station_.x_m)) * kMmAMetre;
      if (down > least_.y() && down < most_.y() && std::abs(down) > 1) {
        line(least_.x() + kAround, down, most_.x() - kAround, down, 0.15, {6, 4});
      }
    }
    text("cut line", least_.x() + 2, -1.5, 4);
    text("rail, bracket", rail_middle() - half_rail() + 2, -rail_up() - 1.5, 4);
    text("plumb", 1.5, least_.y() + 5, 4);
    const bool assumed = report_.log.pith.source == Pith::Source::assumed_middle;
    text(assumed ? "middle" : "pith", 2, pith - 1.5, 4);
  }

  void draw_notes(const Eigen::Vector2d& page, const std::string& where) {
    const double bar = page.y() - kMargin - 3;
    cairo_set_source_rgb(cairo_, 0, 0, 0);
    cairo_rectangle(cairo_, kMargin, bar, kCheckBar, 2);
    cairo_fill(cairo_);
    text("This bar is 100 mm long; if not, print again at 100 %, not fitted to the page.", kMargin, bar - 2,
         3.5);
    text(std::string(large_end_ ? "Large end" : "Small end") + ", as you stand before it: " + where +
             ". Lay crosses on the neighbours' crosses.",
         kMargin, bar - 7, 3.5);
  }

  cairo_t* cairo_;
  const Report& report_;
  bool large_end_;
  const Station& station_;
  const solver::EndMark& mark_;
  Eigen::Vector2d pith_ = Eigen::Vector2d::Zero();
  Corners bark_;
  Corners wood_;
  Eigen::Vector2d least_ = Eigen::Vector2d::Constant(std::numeric_limits<double>::infinity());
  Eigen::Vector2d most_ = -least_;
};

}  // namespace

std::string templates_pdf(const Report& report) {
  check(report);
  const Eigen::Vector2d points = paper_size(report.paper);
  std::string bytes;
  const std::unique_ptr<cairo_surface_t, SurfaceDestroyer> surface(
      cairo_pdf_surface_create_for_stream(append, &bytes, points.x(), points.y()));
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "1970-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, "Flitchwise end templates");
  const std::unique_ptr<cairo_t, ContextDestroyer> context(cairo_create(surface.get()));
  cairo_scale(context.get(), kPointsAMm, kPointsAMm);
  for (const bool large_end : {false, true}) {
    EndTemplate(context.get(), report, large_end).draw(points / kPointsAMm);
  }
  cairo_surface_finish(surface.get());
  for (const cairo_status_t status : {cairo_status(context.get()), cairo_surface_status(surface.get())}) {
    if (status != CAIRO_STATUS_SUCCESS) {
      throw InputError(std::string("The templates cannot be drawn: ") + cairo_status_to_string(status) + ".");
    }
  }
  return bytes;
}

}  // namespace flitchwise::report
