#pragma once
/// The pages of sheet.pdf. Paper units are points (1/72 inch), y down; black on white, so that it can be read
/// in the sun and after any printer.

#include <cairo.h>

#include <string>
#include <vector>

#include "tools/report/paint/pen.hpp"
#include "tools/report/sheet.hpp"

namespace flitchwise::report {

/// Width and height in points.
Eigen::Vector2d paper_size(Paper paper);

/// Fills pages from the top; text that does not fit goes on to the next page under the same title.
class Pages : public SheetOutput {
 public:
  static constexpr double kTitle = 22;
  static constexpr double kFigure = 20;

  /// `count`: of all pages, for the foot line; 0 while it is not known. `foot`: what the sheet is about.
  Pages(cairo_t* context, const Eigen::Vector2d& size, std::string foot, int count);

  void start(const std::string& title, Topic topic) override;
  void finish();  ///< shows the last page
  int count() const { return page_; }

  void heading(const std::string& words) override;
  void paragraph(const std::string& words, double size, bool bold) override;
  void tick(const std::string& words, double size) override;
  void figure(const std::string& label, const std::string& words) override;
  /// With lines between the rows. Cells are wrapped.
  void table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks,
             double size) override;
  void drawing(const Report& report, const Drawing& what) override;
  void skip(double height) override { y_ += height; }

 private:
  static constexpr double kMargin = 40;
  static constexpr double kFoot = 18;
  double width() const { return size_.x() - 2 * kMargin; }
  double bottom() const { return size_.y() - kMargin - kFoot; }
  void make_room(double height);
  void begin(const std::string& title);
  void head(const std::string& title);
  void turn_over();
  void draw_foot();
  std::vector<std::string> wrapped(const std::string& words, double size, double room, bool bold);
  void box(double left, double top, double side);
  std::vector<double> column_widths(const std::vector<Column>& columns, bool ticks) const;
  void row(const std::vector<Column>& columns, const Row& cells, const std::vector<double>& widths,
           double size, bool head, bool ticks);
  double row_height(const Row& cells, const std::vector<double>& widths, double size, bool head);

  cairo_t* cairo_;
  Pen pen_;
  Eigen::Vector2d size_;
  std::string foot_;
  int of_ = 0;
  int page_ = 0;
  double y_ = 0;
  std::string title_;
};

}  // namespace flitchwise::report
