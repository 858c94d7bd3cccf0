#pragma once
/// The pages of sheet.pdf. Paper units are points (1/72 inch), y down; black on white, so that it can be read
/// in the sun and after any printer.

#include <string>
#include <vector>

#include "tools/report/picture.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::report {

/// Width and height in points.
Eigen::Vector2d paper_size(Paper paper);

/// What a step of the sheet is about.
enum class Topic { answer, care, roll, ends, rail, planes, flitches, boards };

/// A drawing of the sheet; `index` of the rail position or of the flitch layout.
struct Drawing {
  enum class Kind { roll, ends, rail, flitch };
  Kind kind = Kind::roll;
  std::size_t index = 0;
};

/// Takes the sheet's steps one after another: pages of paper, or the page for the browser.
class SheetOutput {
 public:
  static constexpr double kBody = 12;  // sizes of text, points
  static constexpr double kLarge = 15;

  struct Column {
    std::string title;
    double share = 1;  ///< of the width that the columns share
    bool right = false;
  };
  using Row = std::vector<std::string>;

  SheetOutput() = default;
  SheetOutput(const SheetOutput&) = delete;
  SheetOutput& operator=(const SheetOutput&) = delete;
  virtual ~SheetOutput() = default;

  virtual void start(const std::string& title, Topic topic) = 0;
  virtual void heading(const std::string& words) = 0;
  virtual void paragraph(const std::string& words, double size, bool bold) = 0;
  /// A box to tick, then the words.
  virtual void tick(const std::string& words, double size) = 0;
  /// A label and a large figure beside it.
  virtual void figure(const std::string& label, const std::string& words) = 0;
  /// With a box to tick in the first column if `ticks`.
  virtual void table(const std::vector<Column>& columns, const std::vector<Row>& rows, bool ticks,
                     double size) = 0;
  virtual void drawing(const Report& report, const Drawing& what) = 0;
  virtual void skip(double height) = 0;

  void paragraph(const std::string& words, double size = kBody) { paragraph(words, size, false); }
  void tick(const std::string& words) { tick(words, kBody); }
};

/// The whole sheet, step by step, in the order of the work and in the report's units.
void write_steps(SheetOutput& output, const Report& report);

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
  /// Room for a drawing of this height, on a new page if need be.
  Rectangle field(double height);
  void skip(double height) override { y_ += height; }

  Pen& pen() { return pen_; }
  double width() const { return size_.x() - 2 * kMargin; }
  double room_left() const { return bottom() - y_; }

 private:
  static constexpr double kMargin = 40;
  static constexpr double kFoot = 18;
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

/// Both marks on the small end: what was level before the roll, and where the top goes.
void draw_roll(Pages& pages, const Report& report);
/// Both end faces with every mark dimensioned, one above the other.
void draw_end_marks(Pages& pages, const Report& report);
/// Log, rail, supports and high spots of one rail position from the right side.
void draw_rail_side(Pages& pages, const Report& report, std::size_t position);
/// One flitch from above with its boards and edging lines.
void draw_flitch(Pages& pages, const Report& report, const solver::FlitchLayout& layout);

}  // namespace flitchwise::report
