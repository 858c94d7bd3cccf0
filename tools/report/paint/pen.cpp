#include "tools/report/paint/pen.hpp"

namespace flitchwise::report {

void Pen::path(const std::vector<Eigen::Vector2d>& corners, bool closed, const Look& look) {
  for (const Eigen::Vector2d& corner : corners) {
    cairo_line_to(cairo_, corner.x(), corner.y());
  }
  if (closed) {
    cairo_close_path(cairo_);
  }
  if (look.fill) {
    cairo_set_source_rgb(cairo_, look.fill->red, look.fill->green, look.fill->blue);
    cairo_fill_preserve(cairo_);
  }
  if (look.weight > 0) {
    cairo_set_dash(cairo_, look.dashes.data(), static_cast<int>(look.dashes.size()), 0);
    cairo_set_line_width(cairo_, look.weight);
    cairo_set_source_rgb(cairo_, look.ink.red, look.ink.green, look.ink.blue);
    cairo_stroke_preserve(cairo_);
  }
  cairo_new_path(cairo_);
}

void Pen::line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double weight) {
  path({from, to}, false, {.weight = weight});
}

void Pen::dimension(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const Look& look) {
  constexpr double kHalfWidth = 3;
  path({from, to}, false, look);
  const double length = (to - from).norm();
  if (length < 2 * kHead) {
    return;
  }
  const Eigen::Vector2d along = (to - from) / length;
  const Eigen::Vector2d across = kHalfWidth * Eigen::Vector2d(-along.y(), along.x());
  Look head = look;
  head.fill = look.ink;
  path({to, to - kHead * along + across, to - kHead * along - across}, true, head);
  path({from, from + kHead * along + across, from + kHead * along - across}, true, head);
}

void Pen::text(const std::string& words, const Eigen::Vector2d& at, double size, bool bold) {
  select_font(size, bold);
  cairo_set_source_rgb(cairo_, 0, 0, 0);
  cairo_move_to(cairo_, at.x(), at.y());
  cairo_show_text(cairo_, words.c_str());
  cairo_new_path(cairo_);
}

void Pen::clear(const Eigen::AlignedBox2d& box) {
  cairo_rectangle(cairo_, box.min().x(), box.min().y(), box.sizes().x(), box.sizes().y());
  cairo_set_source_rgb(cairo_, 1, 1, 1);
  cairo_fill(cairo_);
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

}  // namespace flitchwise::report
