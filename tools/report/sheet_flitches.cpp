#include <algorithm>
#include <cmath>
#include <limits>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {
namespace {

using Corners = std::vector<Eigen::Vector2d>;

constexpr double kWidths = 2;        // drawn this much larger than lengths
constexpr double kMostHeight = 330;  // of a cant, whose thin boards are drawn larger to hold their names
constexpr double kSideRoom = 82;     // for the edging lines' figures
constexpr double kTitleRoom = 22;
constexpr double kUnderRoom = 34;
constexpr double kBoardGrey = 0.88;
constexpr double kFigureText = 13;

/// A flitch as it lay in the log, from above: small end at the left, the log's left upwards.
class FlitchDrawing {
 public:
  FlitchDrawing(Pen& pen, const Report& report, const solver::FlitchLayout& layout, double width)
      : pen_(pen), report_(report), layout_(layout) {
    length_m_ = std::max(layout.x_m.empty() ? 0.0 : layout.x_m.back(), 0.001);
    for (const auto* edge :
         {&layout.upper_left_m, &layout.upper_right_m, &layout.lower_left_m, &layout.lower_right_m}) {
      for (const double y_m : *edge) {
        if (std::isfinite(y_m)) {
          least_m_ = std::min(least_m_, y_m);
          most_m_ = std::max(most_m_, y_m);
        }
      }
    }
    scale_ = (width - 2 * kSideRoom) / length_m_;
    for (const std::size_t board : report.plan.flitches[layout.flitch].boards) {
      const auto& c = report.plan.boards[board].corners_m;
      widths_ = std::max(widths_, (kFigureText + 3) / ((c[1] - c[0]).norm() * scale_));
    }
    widths_ = std::max(kWidths, std::min(widths_, kMostHeight / ((most_m_ - least_m_) * scale_)));
  }

  double height() const { return kTitleRoom + (most_m_ - least_m_) * scale_ * widths_ + kUnderRoom; }

  void draw(const Rectangle& field) {
    field_ = field;
    draw_edges();
    draw_boards();
    for (const solver::EdgingWindow& window : layout_.windows) {
      draw_lines(window);
      draw_length(window);
    }
    const auto boards = report_.plan.flitches[layout_.flitch].boards.size();
    const bool cant = report_.plan.flitches[layout_.flitch].kind == solver::Flitch::Kind::cant;
    pen_.bare_text((cant ? "Cant " : "Flitch ") + std::to_string(layout_.flitch + 1) + ": " +
                       counted(boards, "board") + (cant ? " on edge" : "") + ", about " +
                       weight_text(report_.units, layout_.weight_kg) + "; widths " + fixed(widths_, 1) +
                       " times as large",
                   {field_.left, field_.top + 14}, 14, true);
  }

 private:
  double x(double x_m) const { return field_.left + kSideRoom + x_m * scale_; }
  double y(double y_m) const { return field_.top + kTitleRoom + (most_m_ - y_m) * scale_ * widths_; }

  /// Only where the face reaches.
  Corners edge(const std::vector<double>& y_m) const {
    Corners corners;
    for (std::size_t i = 0; i < y_m.size(); ++i) {
      if (std::isfinite(y_m[i])) {
        corners.emplace_back(x(layout_.x_m[i]), y(y_m[i]));
      }
    }
    return corners;
  }
  void face(const std::vector<double>& left_m, const std::vector<double>& right_m, double weight,
            const std::vector<double>& dashes) {
    Corners corners = edge(left_m);
    Corners back = edge(right_m);
    corners.insert(corners.end(), back.rbegin(), back.rend());
    if (!corners.empty()) {
      pen_.outline(corners, weight, -1, dashes);
    }
  }
  void draw_edges() {
    face(layout_.lower_left_m, layout_.lower_right_m, Pen::kThin, {3, 3});
    face(layout_.upper_left_m, layout_.upper_right_m, Pen::kMedium, {});
  }

  void draw_boards() {
    for (const std::size_t index : report_.plan.flitches[layout_.flitch].boards) {
      const solver::Board& board = report_.plan.boards[index];
      // The upper face: small end left and right, large end right and left.
      Corners corners;
      Eigen::Vector2d middle = Eigen::Vector2d::Zero();
      for (const std::size_t corner : {3U, 2U, 6U, 7U}) {
        const Eigen::Vector3d bench = to_bench(report_, board.corners_m[corner]);
        corners.emplace_back(x(bench.x()), y(bench.y()));
        middle += corners.back() / 4;
      }
      pen_.outline(corners, Pen::kMedium, kBoardGrey);
      pen_.bare_text(board.id,
                     {middle.x() - pen_.text_width(board.id, kFigureText, true) / 2, middle.y() + 5},
                     kFigureText, true);
    }
  }

  /// Figures of the edging lines at both ends of the boards, moved apart where lines lie close.
  void draw_lines(const solver::EdgingWindow& window) {
    const bool first = &window == &layout_.windows.front();
    const bool last = &window == &layout_.windows.back();
    std::vector<double> starts;
    std::vector<double> ends;
    for (const solver::EdgingLine& line : window.lines) {
      const double from = y(left_edge_m(window.start_m) - line.at_start_m);
      const double to = y(left_edge_m(window.end_m) - line.at_end_m);
      pen_.line({x(window.start_m), from}, {x(window.end_m), to}, Pen::kMedium, {8, 3});
      starts.push_back(from);
      ends.push_back(to);
    }
    if (first) {
      figures(window, starts, x(window.start_m), true);
    }
    if (last) {
      figures(window, ends, x(window.end_m), false);
    }
  }

  void figures(const solver::EdgingWindow& window, const std::vector<double>& levels, double from,
               bool at_start) {
    const double edge = at_start ? field_.left + kSideRoom - 10 : field_.left + field_.width - kSideRoom + 10;
    std::vector<double> places = levels;
    for (std::size_t i = 1; i < places.size(); ++i) {
      places[i] = std::max(places[i], places[i - 1] + kFigureText + 1);
    }
    for (std::size_t i = 0; i < levels.size(); ++i) {
      const solver::EdgingLine& line = window.lines[i];
      const double leader = at_start ? std::min(edge, from) : std::max(edge, from);
      pen_.line({from, levels[i]}, {leader, places[i]}, Pen::kThin, {1, 2});
      pen_.text(bare_length(report_.units, at_start ? line.at_start_m : line.at_end_m),
                {at_start ? edge - 3 : edge + 3, places[i] + 4}, kFigureText,
                at_start ? Align::right : Align::left, true);
    }
  }

  double left_edge_m(double x_m) const {
    // Linear between the sections, as the layout's lines are.
    const auto& xs = layout_.x_m;
    const auto upper = std::upper_bound(xs.begin(), xs.end(), x_m);
    if (upper == xs.begin()) {
      return layout_.upper_left_m.front();
    }
    if (upper == xs.end()) {
      return layout_.upper_left_m.back();
    }
    const auto i = static_cast<std::size_t>(upper - xs.begin());
    const double u = (x_m - xs[i - 1]) / (xs[i] - xs[i - 1]);
    return (1 - u) * layout_.upper_left_m[i - 1] + u * layout_.upper_left_m[i];
  }

  void draw_length(const solver::EdgingWindow& window) {
    const double level = y(least_m_) + 14;
    const auto place = [&](double x_m) { return bare_length(report_.units, x_m); };
    pen_.dimension({x(window.start_m), level}, {x(window.end_m), level});
    pen_.text(place(window.start_m) + " to " + place(window.end_m) + " from the small end",
              {(x(window.start_m) + x(window.end_m)) / 2, level + 4}, 12, Align::middle);
  }

  Pen& pen_;
  const Report& report_;
  const solver::FlitchLayout& layout_;
  Rectangle field_;
  double length_m_ = 0;
  double least_m_ = std::numeric_limits<double>::infinity();
  double most_m_ = -std::numeric_limits<double>::infinity();
  double scale_ = 1;
  double widths_ = kWidths;
};

}  // namespace

void draw_flitch(Pages& pages, const Report& report, const solver::FlitchLayout& layout) {
  FlitchDrawing drawing(pages.pen(), report, layout, pages.width());
  drawing.draw(pages.field(drawing.height()));
}

}  // namespace flitchwise::report
