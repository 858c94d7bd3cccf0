#include "tools/report/paint/templates.hpp"

#include <cmath>

#include "tools/report/paint/canvas.hpp"
#include "tools/report/paint/pages.hpp"
#include "tools/report/paint/scene_painter.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/scene/end_face.hpp"

namespace flitchwise::report {
namespace {

constexpr double kMm = 72 / 25.4;  // points a millimetre
constexpr double kPointsAMetre = 1000 * kMm;
constexpr double kMargin = 12 * kMm;   // what no printer prints on
constexpr double kOverlap = 14 * kMm;  // what neighbouring sheets both show
constexpr double kNotes = 16 * kMm;    // at the foot of each sheet, for its notes and the check bar
constexpr double kAround = 12 * kMm;   // kept free around the end face
constexpr double kText = 4 * kMm;

/// Tiles one end face over pages.
class Tiles {
 public:
  Tiles(cairo_t* cairo, const Eigen::Vector2d& page, const Scene& scene)
      : cairo_(cairo),
        pen_(cairo),
        page_(page),
        scene_(scene),
        painter_(pen_, scene, template_style(), kText) {}
  void draw() {
    const Eigen::AlignedBox2d box = painter_.shapes_box(kPointsAMetre);
    const Eigen::Vector2d size = box.sizes() + Eigen::Vector2d::Constant(2 * kAround);
    const int columns = static_cast<int>(std::ceil(size.x() / cell_.x()));
    const int rows = static_cast<int>(std::ceil(size.y() / cell_.y()));
    // The end face in the middle of all its sheets.
    const Eigen::Vector2d first = box.center() - Eigen::Vector2d(columns, rows).cwiseProduct(cell_) / 2;
    for (int row = 0; row < rows; ++row) {
      for (int column = 0; column < columns; ++column) {
        draw_tile(first + Eigen::Vector2d(column, row).cwiseProduct(cell_));
        draw_notes("row " + std::to_string(row + 1) + " of " + std::to_string(rows) + ", column " +
                   std::to_string(column + 1) + " of " + std::to_string(columns));
        cairo_show_page(cairo_);
      }
    }
  }

 private:
  /// `corner`: of the drawing, in the middle of the overlap at the sheet's upper left.
  void draw_tile(const Eigen::Vector2d& corner) {
    constexpr double kArm = 5 * kMm;
    constexpr double kFine = 0.57;
    cairo_save(cairo_);
    cairo_rectangle(cairo_, kMargin, kMargin, page_.x() - 2 * kMargin, page_.y() - 2 * kMargin - kNotes);
    cairo_clip(cairo_);
    const Eigen::Vector2d inset = Eigen::Vector2d::Constant(kMargin + kOverlap / 2);
    painter_.paint(kPointsAMetre, inset - corner);
    for (const double x : {inset.x(), inset.x() + cell_.x()}) {
      for (const double y : {inset.y(), inset.y() + cell_.y()}) {
        pen_.line({x - kArm, y}, {x + kArm, y}, kFine);
        pen_.line({x, y - kArm}, {x, y + kArm}, kFine);
      }
    }
    cairo_restore(cairo_);
  }
  void draw_notes(const std::string& where) {
    constexpr double kSize = 3.5 * kMm;
    constexpr double kCheckBar = 100 * kMm;
    const double bar = page_.y() - kMargin - 3 * kMm;
    const Eigen::Vector2d end(kMargin + kCheckBar, bar + 2 * kMm);
    pen_.path({{kMargin, bar}, {end.x(), bar}, end, {kMargin, end.y()}}, true, {.fill = Colour{}});
    pen_.text("This bar is 100 mm long; if not, print again at 100 %, not fitted to the page.",
              {kMargin, bar - 2 * kMm}, kSize);
    pen_.text(scene_.title + ": " + where + ". Lay crosses on the neighbours' crosses.",
              {kMargin, bar - 7 * kMm}, kSize);
  }

  cairo_t* cairo_;
  Pen pen_;
  Eigen::Vector2d page_;
  const Scene& scene_;
  ScenePainter painter_;
  Eigen::Vector2d cell_ = page_ - Eigen::Vector2d(2 * kMargin + kOverlap, 2 * kMargin + kOverlap + kNotes);
};

}  // namespace

std::string templates_pdf(const Report& report) {
  check(report);
  const Eigen::Vector2d page = paper_size(report.paper);
  return pdf_bytes(page, "Flitchwise end templates", [&](cairo_t* cairo) {
    for (const bool large_end : {false, true}) {
      const Scene scene = end_face_with_marks(report, large_end);
      Tiles(cairo, page, scene).draw();
    }
  });
}

}  // namespace flitchwise::report
