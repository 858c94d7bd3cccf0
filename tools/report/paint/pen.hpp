#pragma once
/// A thin layer over Cairo. Paper units, y down.

#include <cairo.h>

#include <Eigen/Geometry>
#include <string>
#include <vector>

#include "tools/report/paint/style.hpp"

namespace flitchwise::report {

class Pen {
 public:
  explicit Pen(cairo_t* context) : cairo_(context) {}

  static constexpr double kThin = 0.8;
  static constexpr double kMedium = 1.4;

  /// A line or, closed, an area.
  void path(const std::vector<Eigen::Vector2d>& corners, bool closed, const Look& look);
  void line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double weight);
  /// A line with heads at both ends where there is room for them.
  void dimension(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const Look& look);
  /// `at` is the left end of the text's base line.
  void text(const std::string& words, const Eigen::Vector2d& at, double size, bool bold = false);
  /// White, to keep what is written there readable.
  void clear(const Eigen::AlignedBox2d& box);
  double text_width(const std::string& words, double size, bool bold = false);

  static constexpr double kHead = 8;  ///< length of an arrow's head

 private:
  void select_font(double size, bool bold);
  cairo_t* cairo_;
};

}  // namespace flitchwise::report
