#pragma once
/// The parts of the picture. Paper units; 1 is a CSS pixel.

#include <cairo.h>

#include <Eigen/Core>
#include <string>
#include <vector>

#include "tools/report/report.hpp"

namespace flitchwise::report {

struct Rectangle {
  double left = 0, top = 0, width = 0, height = 0;
  double right() const { return left + width; }
  double bottom() const { return top + height; }
};

enum class Align { left, middle, right };

/// A thin layer over Cairo: black on white, a few line weights, text that is never drawn over lines.
class Pen {
 public:
  explicit Pen(cairo_t* context) : cairo_(context) {}

  static constexpr double kThin = 0.8;
  static constexpr double kMedium = 1.4;
  static constexpr double kBold = 3.6;
  static constexpr double kSmallText = 12;
  static constexpr double kText = 14;
  static constexpr double kTitle = 20;

  void line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double weight,
            const std::vector<double>& dashes = {});
  /// Closed; `grey` from 0 black to 1 white fills it, below 0 leaves it empty.
  void outline(const std::vector<Eigen::Vector2d>& corners, double weight, double grey,
               const std::vector<double>& dashes = {});
  /// An arrow with heads at both ends.
  void dimension(const Eigen::Vector2d& from, const Eigen::Vector2d& to);
  /// `at` is on the text's base line. A white ground keeps it readable over lines.
  void text(const std::string& words, const Eigen::Vector2d& at, double size, Align align = Align::left,
            bool bold = false);
  /// Without the white ground, from the left.
  void bare_text(const std::string& words, const Eigen::Vector2d& at, double size, bool bold = false);
  double text_width(const std::string& words, double size, bool bold = false);

 private:
  void head(const Eigen::Vector2d& tip, const Eigen::Vector2d& direction);
  void select_font(double size, bool bold);
  void stroke(double weight, const std::vector<double>& dashes);
  cairo_t* cairo_;
};

/// Both end faces as seen by someone who stands before them, to one scale, each in its field.
void draw_ends(Pen& pen, const Report& report, const Rectangle& small_field, const Rectangle& large_field);

/// The log seen from its right, small end at the left, once for every position of the rail: rail, supports
/// with their labels, planes.
void draw_side(Pen& pen, const Report& report, const Rectangle& field);
/// Height that draw_side needs at this width.
double side_height(Pen& pen, const Report& report, double width);

}  // namespace flitchwise::report
