#include "tools/report/scene/flitch_view.hpp"

#include <algorithm>
#include <cmath>

#include "tools/report/quantities.hpp"
#include "tools/report/scene/section.hpp"

namespace flitchwise::report {
namespace {

constexpr double kLeastWidths = 2;  // drawn this much larger than lengths
// Shares of the drawn length: what a board's name needs, and what a cant may grow to for it.
constexpr double kNameShare = 0.045;
constexpr double kMostShare = 0.9;

/// Builds the scene of one flitch.
class FlitchView {
 public:
  FlitchView(const Report& report, const solver::FlitchLayout& layout)
      : report_(report), layout_(layout), flitch_(report.plan.flitches[layout.flitch]) {}
  Scene made() {
    add_face(Role::upper_face, layout_.upper_left_m, layout_.upper_right_m);
    add_face(Role::lower_face, layout_.lower_left_m, layout_.lower_right_m);
    for (const std::size_t board : flitch_.boards) {
      add_board(report_.plan.boards[board]);
    }
    for (const solver::EdgingWindow& window : layout_.windows) {
      add_lines(window);
      add_length(window);
    }
    scene_.heights = widths();
    scene_.title = (is_cant() ? "Cant " : "Flitch ") + std::to_string(layout_.flitch + 1) + ": " +
                   counted(flitch_.boards.size(), "board") + (is_cant() ? " on edge" : "") + ", about " +
                   weight_text(report_.units, layout_.weight_kg) + "; widths " + fixed(scene_.heights, 1) +
                   " times as large";
    return scene_;
  }

 private:
  bool is_cant() const { return flitch_.kind == solver::Flitch::Kind::cant; }
  double length_m() const { return layout_.x_m.empty() ? 0 : layout_.x_m.back(); }
  std::string words(double length_m) const { return bare_length(report_.units, length_m); }
  /// Thin boards of a cant are drawn larger to hold their names.
  double widths() const {
    double needed = kLeastWidths;
    for (const std::size_t board : flitch_.boards) {
      const auto& corners = report_.plan.boards[board].corners_m;
      needed = std::max(needed, kNameShare * length_m() / (corners[1] - corners[0]).norm());
    }
    return std::max(kLeastWidths, std::min(needed, kMostShare * length_m() / box_.sizes().y()));
  }
  /// Only where the face reaches.
  void add_face(Role role, const std::vector<double>& left_m, const std::vector<double>& right_m) {
    Corners corners;
    Corners back;
    for (std::size_t i = 0; i < layout_.x_m.size(); ++i) {
      if (std::isfinite(left_m[i]) && std::isfinite(right_m[i])) {
        corners.emplace_back(layout_.x_m[i], left_m[i]);
        back.emplace_back(layout_.x_m[i], right_m[i]);
      }
    }
    corners.insert(corners.end(), back.rbegin(), back.rend());
    box_.extend(box_of(corners));
    scene_.shapes.push_back(shape(role, corners, true));
  }
  /// Its upper face: small end left and right, large end right and left.
  void add_board(const solver::Board& board) {
    constexpr double kText = 0.8;  // of the board's width
    Corners corners;
    for (const std::size_t corner : {3U, 2U, 6U, 7U}) {
      corners.push_back(to_bench(report_, board.corners_m[corner]).head<2>());
    }
    scene_.shapes.push_back(shape(is_cant() ? Role::board_on_edge : Role::board, corners, true));
    scene_.shapes.back().board = board.id;
    scene_.labels.push_back({Role::board,
                             {(corners[0] + corners[1] + corners[2] + corners[3]) / 4},
                             Align::middle,
                             {board.id},
                             0,
                             {},
                             kText * (corners[1] - corners[0]).norm()});
  }
  void add_lines(const solver::EdgingWindow& window) {
    for (const solver::EdgingLine& edging : window.lines) {
      const Eigen::Vector2d from(window.start_m, left_edge_m(window.start_m) - edging.at_start_m);
      const Eigen::Vector2d to(window.end_m, left_edge_m(window.end_m) - edging.at_end_m);
      scene_.shapes.push_back(line(Role::edging, {from}, {to}));
      if (&window == &layout_.windows.front()) {
        add_figure(from.x(), from.y(), edging.at_start_m, true);
      }
      if (&window == &layout_.windows.back()) {
        add_figure(to.x(), to.y(), edging.at_end_m, false);
      }
    }
  }
  void add_figure(double x_m, double y_m, double distance_m, bool at_start) {
    constexpr double kOut = 0.8;
    scene_.labels.push_back({Role::edging,
                             {{at_start ? 0 : length_m(), y_m}, {at_start ? -kOut : kOut, 0}},
                             at_start ? Align::right : Align::left,
                             {words(distance_m)},
                             -1,
                             {{{x_m, y_m}}}});
  }
  void add_length(const solver::EdgingWindow& window) {
    constexpr double kDown = 1.3;
    const double bottom = box_.min().y();
    scene_.dimensions.push_back(
        {Role::length,
         {{window.start_m, bottom}, {0, -kDown}},
         {{window.end_m, bottom}, {0, -kDown}},
         {words(window.start_m) + " to " + words(window.end_m) + " from the small end"}});
  }
  /// Linear between the sections, as the layout's lines are.
  double left_edge_m(double x_m) const {
    const auto& xs = layout_.x_m;
    const auto upper = std::upper_bound(xs.begin(), xs.end(), x_m);
    if (upper == xs.begin()) {
      return layout_.upper_left_m.front();
    }
    if (upper == xs.end()) {
      return layout_.upper_left_m.back();
    }
    const auto i = static_cast<std::size_t>(upper - xs.begin());
    return std::lerp(layout_.upper_left_m[i - 1], layout_.upper_left_m[i],
                     (x_m - xs[i - 1]) / (xs[i] - xs[i - 1]));
  }

  const Report& report_;
  const solver::FlitchLayout& layout_;
  const solver::Flitch& flitch_;
  Eigen::AlignedBox2d box_;  ///< of both faces
  Scene scene_;
};

}  // namespace

Scene flitch_view(const Report& report, const solver::FlitchLayout& layout) {
  return FlitchView(report, layout).made();
}

}  // namespace flitchwise::report
