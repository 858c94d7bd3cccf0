#include <algorithm>
#include <cmath>
#include <limits>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {
namespace {

using Corners = std::vector<Eigen::Vector2d>;

constexpr double kSideRoom = 128;  // on either side of the end face, for its dimensions
constexpr double kTitleRoom = 26;
constexpr double kUnderRoom = 40;  // for the half-widths
constexpr double kBarkGrey = 0.8;
constexpr double kFigureText = 16;
constexpr double kNameText = 11;

/// One end face, log rolled, as someone sees it who stands before it.
class EndDrawing {
 public:
  EndDrawing(Pen& pen, const Report& report, bool large_end, const Rectangle& field)
      : pen_(pen),
        report_(report),
        large_end_(large_end),
        field_(field),
        station_(large_end ? report.log.stations.back() : report.log.stations.front()),
        mark_(large_end ? report.sheet.large_end : report.sheet.small_end) {
    const Eigen::Vector2d pith = large_end ? report.log.pith.large_end_m : report.log.pith.small_end_m;
    pith_ = to_bench(report, {station_.x_m, pith.x(), pith.y()}).tail<2>();
    bark_ = bench(bark_outline_m(station_));
    for (const Eigen::Vector2d& corner : bark_) {
      least_ = least_.cwiseMin(corner);
      most_ = most_.cwiseMax(corner);
    }
  }

  double most_scale() const {
    return std::min((field_.width - 2 * kSideRoom) / (most_.x() - least_.x()),
                    (field_.height - kTitleRoom - kUnderRoom) / (high_m() - least_.y()));
  }
  void draw(double scale);

 private:
  Corners bench(const Eigen::MatrixX2d& in_log_m) const {
    Corners corners;
    for (const auto& row : in_log_m.rowwise()) {
      corners.emplace_back(to_bench(report_, {station_.x_m, row.x(), row.y()}).tail<2>());
    }
    return corners;
  }
  double cut_m() const { return pith_.y() + mark_.above_pith_m; }
  double rail_m() const { return pith_.y() + mark_.bracket_above_pith_m; }
  double high_m() const { return std::max(most_.y(), rail_m()); }
  double x(double y_m) const {
    const double side = large_end_ ? 1 : -1;
    return middle_ + side * (y_m - (least_.x() + most_.x()) / 2) * scale_;
  }
  double y(double z_m) const { return field_.top + kTitleRoom + (high_m() - z_m) * scale_; }
  double left() const { return std::min(x(least_.x()), x(most_.x())); }
  double right() const { return std::max(x(least_.x()), x(most_.x())); }
  std::string text(double length_m) const { return bare_length(report_.units, std::abs(length_m)); }

  void draw_face();
  void draw_rail();
  void draw_marks();
  void name(const std::string& figure, const std::string& words, double at_x, double at_y, Align align);
  void draw_left_dimensions();
  void draw_right_dimensions();
  void draw_half_widths();

  Pen& pen_;
  const Report& report_;
  bool large_end_;
  Rectangle field_;
  const Station& station_;
  const solver::EndMark& mark_;
  Corners bark_;
  Eigen::Vector2d pith_ = Eigen::Vector2d::Zero();
  Eigen::Vector2d least_ = Eigen::Vector2d::Constant(std::numeric_limits<double>::infinity());
  Eigen::Vector2d most_ = -least_;
  double scale_ = 1;
  double middle_ = 0;
};

void EndDrawing::draw_face() {
  const auto paper = [&](const Corners& corners) {
    Corners out;
    for (const Eigen::Vector2d& corner : corners) {
      out.emplace_back(x(corner.x()), y(corner.y()));
    }
    return out;
  };
  pen_.outline(paper(bark_), Pen::kMedium, kBarkGrey);
  pen_.outline(paper(bench(planning_outline_m(station_, 0))), Pen::kThin, 1);
  for (const solver::CutPlane& plane : later_planes(report_)) {
    const double z = height_at(report_, plane, station_.x_m);
    double least = std::numeric_limits<double>::infinity();
    double most = -least;
    for (std::size_t i = 0; i < bark_.size(); ++i) {
      const Eigen::Vector2d& a = bark_[i];
      const Eigen::Vector2d& b = bark_[(i + 1) % bark_.size()];
      if ((a.y() < z) != (b.y() < z)) {
        const double at = a.x() + (b.x() - a.x()) * (z - a.y()) / (b.y() - a.y());
        least = std::min(least, at);
        most = std::max(most, at);
      }
    }
    if (least < most) {
      pen_.line({x(least), y(z)}, {x(most), y(z)}, Pen::kThin, {5, 4});
    }
  }
}

void EndDrawing::draw_rail() {
  const solver::Kit& kit = report_.sheet.kit;
  const double half_m = std::max(kit.bracket_width_m, kit.rail_width_m) / 2;
  const double from = x(report_.sheet.rail_y_m - half_m);
  const double to = x(report_.sheet.rail_y_m + half_m);
  const double bottom = y(rail_m() - kit.bracket_height_m);
  if (kit.bracket_height_m > 0) {
    pen_.outline({{from, y(rail_m())}, {to, y(rail_m())}, {to, bottom}, {from, bottom}}, Pen::kThin, 1);
  }
  pen_.line({from, y(rail_m())}, {to, y(rail_m())}, 2 * Pen::kMedium);
}

void EndDrawing::draw_marks() {
  constexpr double kOver = 12;
  constexpr double kCross = 6;
  const double plumb = x(pith_.x());
  pen_.line({plumb, y(high_m()) - kOver / 2}, {plumb, y(least_.y()) + kOver}, Pen::kThin, {9, 3, 2, 3});
  pen_.line({left() - kOver, y(cut_m())}, {right() + kOver, y(cut_m())}, Pen::kBold);
  const Eigen::Vector2d pith(plumb, y(pith_.y()));
  pen_.line(pith - Eigen::Vector2d(kCross, 0), pith + Eigen::Vector2d(kCross, 0), Pen::kMedium);
  pen_.line(pith - Eigen::Vector2d(0, kCross), pith + Eigen::Vector2d(0, kCross), Pen::kMedium);
}

/// A large figure with its name under it; `at_y` in the middle of both.
void EndDrawing::name(const std::string& figure, const std::string& words, double at_x, double at_y,
                      Align align) {
  pen_.text(figure, {at_x, at_y - 1}, kFigureText, align, true);
  pen_.text(words, {at_x, at_y + kNameText}, kNameText, align);
}

void EndDrawing::draw_left_dimensions() {
  constexpr double kOut = 24;
  constexpr double kGap = 8;
  const double at = left() - kOut;
  const double top = y(cut_m() + mark_.below_top_m);
  const double bottom = y(cut_m() - mark_.above_bottom_m);
  const double cut = y(cut_m());
  const double plumb = x(pith_.x());
  for (const double level : {top, bottom}) {
    pen_.line({at - kGap, level}, {plumb, level}, Pen::kThin, {2, 3});
  }
  pen_.line({at - kGap, cut}, {left() - kGap, cut}, Pen::kThin);
  pen_.dimension({at, top}, {at, cut});
  pen_.dimension({at, cut}, {at, bottom});
  name(text(mark_.below_top_m), mark_.below_top_m < 0 ? "above the top" : "down from the top", at - kGap,
       (top + cut) / 2, Align::right);
  name(text(mark_.above_bottom_m), "up from the bottom", at - kGap, (cut + bottom) / 2, Align::right);
}

void EndDrawing::draw_right_dimensions() {
  constexpr double kOut = 22;
  constexpr double kGap = 6;
  constexpr double kApart = 36;  // of the middles of two figures
  const double at = right() + kOut;
  const double cut = y(cut_m());
  const double rail = y(rail_m());
  const double pith = y(pith_.y());
  pen_.line({right() + kGap, cut}, {at + 2 * kGap, cut}, Pen::kThin);
  pen_.line({x(report_.sheet.rail_y_m), rail}, {at + kGap, rail}, Pen::kThin, {2, 3});
  pen_.line({x(pith_.x()), pith}, {at + 2 * kGap, pith}, Pen::kThin, {2, 3});
  pen_.dimension({at, rail}, {at, cut});
  pen_.dimension({at + kGap, cut}, {at + kGap, pith});
  const double rail_text = (rail + cut) / 2;
  const double pith_text = std::max((cut + pith) / 2, rail_text + kApart);
  name(text(mark_.bracket_above_pith_m - mark_.above_pith_m), "rail above the cut", at + 3 * kGap, rail_text,
       Align::left);
  const bool assumed = report_.log.pith.source == Pith::Source::assumed_middle;
  name(text(mark_.above_pith_m),
       std::string(mark_.above_pith_m < 0 ? "below " : "above ") + (assumed ? "the middle" : "the pith"),
       at + 3 * kGap, pith_text, Align::left);
}

void EndDrawing::draw_half_widths() {
  if (mark_.half_width_left_m + mark_.half_width_right_m <= 0) {
    return;
  }
  constexpr double kDown = 22;
  constexpr double kHead = 9;
  constexpr double kHalfText = kFigureText - 2;
  const double level = y(least_.y()) + kDown;
  const double plumb = x(pith_.x());
  for (const double y_m : {pith_.x() + mark_.half_width_left_m, pith_.x() - mark_.half_width_right_m}) {
    pen_.line({x(y_m), y(cut_m())}, {x(y_m), level + 4}, Pen::kThin, {2, 3});
    pen_.dimension({plumb, level}, {x(y_m), level});
    // In the middle of its arrow, or outside of it where the arrow is shorter than the figure.
    const std::string figure = text(y_m - pith_.x());
    const double room = std::abs(x(y_m) - plumb) - 2 * kHead;
    const bool leftwards = x(y_m) < plumb;
    if (pen_.text_width(figure, kHalfText, true) <= room) {
      pen_.text(figure, {(plumb + x(y_m)) / 2, level + 5}, kHalfText, Align::middle, true);
    } else {
      pen_.text(figure, {x(y_m) + (leftwards ? -5 : 5), level + 5}, kHalfText,
                leftwards ? Align::right : Align::left, true);
    }
  }
}

void EndDrawing::draw(double scale) {
  scale_ = scale;
  middle_ = field_.left + field_.width / 2;
  draw_face();
  draw_rail();
  draw_left_dimensions();
  draw_right_dimensions();
  draw_half_widths();
  draw_marks();
  pen_.bare_text(large_end_ ? "Large end, as you stand before it" : "Small end, as you stand before it",
                 {field_.left, field_.top + 14}, 14, true);
}

}  // namespace

void draw_end_marks(Pages& pages, const Report& report) {
  const double text_under = report.sheet.brackets.left_to_right_m > 0 ? 190 : 125;
  constexpr double kLeast = 180;
  const double height = std::max((pages.room_left() - text_under) / 2, kLeast);
  const Rectangle small_field = pages.field(height);
  const Rectangle large_field = pages.field(height);
  EndDrawing small_end(pages.pen(), report, false, small_field);
  EndDrawing large_end(pages.pen(), report, true, large_field);
  const double scale = std::min(small_end.most_scale(), large_end.most_scale());  // so that they compare
  small_end.draw(scale);
  large_end.draw(scale);
}

}  // namespace flitchwise::report
