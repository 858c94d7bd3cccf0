#pragma once
/// The pages of sheet.pdf. Paper units are points (1/72 inch), y down; black on white, so that it can be read
/// in the sun and after any printer.

#include <string>
#include <vector>

#include "report/picture.hpp"
#include "report/report.hpp"
#include "report/text.hpp"

namespace flitchwise::report {

/// Width and height in points.
Eigen::Vector2d paper_size(Paper paper);

/// Fills pages from the top; text that does not fit goes on to the next page under the same title.
class Pages {
 public:
  static constexpr double kBody = 12;
  static constexpr double kLarge = 15;
  static constexpr double kTitle = 22;
  static constexpr double kFigure = 20;

  struct Column {
    std::string title;
    double share = 1;  ///< of the width that the columns share
    bool right = false;
  };
  using Row = std::vector<std::string>;

  /// `count`: of all pages, for the foot line; 0 while it is not known. `foot`: what the sheet is about.
  Pages(cairo_t* context, const Eigen::Vector2d& size, std::string foot, int count);

  void start(const std::string& title);
  void finish();  ///< shows the last page
  int count() const { return page_; }

  void heading(const std::string& words);
  void paragraph(const std::string& words, double size = kBody, bool bold = false);
  /// A box to tick, then the words.
  void tick(const std::string& words, double size = kBody);
  /// A label and a large figure beside it.
  void figure(const std::string& label, const std::string& words);
  /// With lines between the rows and a box to tick in the first column if `ticks`. Cells are wrapped.
  void table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks,
             double size = kLarge);
  /// Room for a drawing of this height, on a new page if need be.
  Rectangle field(double height);
  void skip(double height) { y_ += height; }

  Pen& pen() { return pen_; }
  double width() const { return size_.x() - 2 * kMargin; }
  double room_left() const { return bottom() - y_; }

 private:
  static constexpr double kMargin = 40;
  static constexpr double kFoot = 18;
  double bottom() const { return size_.y() - kMargin - kFoot; }
  void make_room(double height);
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

/// Both end faces with every mark dimensioned, one above the other.
void draw_end_marks(Pages& pages, const Report& report);
/// Log, rail, supports and high spots of one rail position from the right side.
void draw_rail_side(Pages& pages, const Report& report, std::size_t position);
/// One flitch from above with its boards and edging lines.
void draw_flitch(Pages& pages, const Report& report, const solver::FlitchLayout& layout);

}  // namespace flitchwise::report
