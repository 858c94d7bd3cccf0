#include "tools/report/paint/picture.hpp"

#include <algorithm>
#include <cmath>

#include "tools/report/paint/canvas.hpp"
#include "tools/report/paint/scene_painter.hpp"
#include "tools/report/plan_words.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/scene/drawings.hpp"
#include "tools/report/scene/side_view.hpp"
#include "tools/report/sheet_words.hpp"

namespace flitchwise::report {
namespace {

// CSS pixels
constexpr double kPaperWidth = 1200;
constexpr double kMargin = 36;
constexpr double kWidth = kPaperWidth - 2 * kMargin;
constexpr double kText = 14;
constexpr double kTitle = 20;
constexpr double kEndHeight = 450;
constexpr double kNoLimit = 1e9;
constexpr double kBetween = 28;

/// Returns its height.
double draw_title(Pen& pen, const Report& report) {
  constexpr double kFirst = 24;
  constexpr double kSecond = 46;
  std::string roll = "log as it lies";
  if (is_rolled(report.sheet)) {
    roll = "log rolled " + roll_angle(report.sheet) + "\u00B0 " +
           (report.sheet.roll_rad > 0 ? "clockwise" : "anticlockwise") + ", seen from the small end";
  }
  pen.text(boards_words(report.units, report.plan), {kMargin, kMargin + kFirst}, kTitle, true);
  pen.text(roll + "; lengths in " + unit_name(report.units), {kMargin, kMargin + kSecond}, kText);
  return kSecond;
}

/// One view for each position of the rail.
std::vector<Scene> sides(const Report& report) {
  std::vector<Scene> scenes;
  const std::size_t positions = std::max<std::size_t>(report.sheet.rail_positions.size(), 1);
  for (std::size_t i = 0; i < positions; ++i) {
    scenes.push_back(side_view(report, i, 1));
    scenes.back().title += "; gaps from the rail's underside to the bark";
    if (positions > 1) {
      scenes.back().title = "Rail position " + std::to_string(i + 1) + " of " + std::to_string(positions) +
                            ". " + scenes.back().title;
    }
  }
  return scenes;
}

/// Returns the height of the paper that it needs.
double draw_all(cairo_t* cairo, const Report& report) {
  Pen pen(cairo);
  double top = kMargin + draw_title(pen, report) + kBetween;
  constexpr double kFieldWidth = (kWidth - kBetween) / 2;
  const std::vector<Scene> ends = scenes_of(report, {Drawing::Kind::ends});
  const TitledScenes titled_ends(pen, ends, picture_style(), kText, {kFieldWidth, kEndHeight});
  titled_ends.paint(0, {kMargin, top});
  titled_ends.paint(1, {kMargin + kFieldWidth + kBetween, top});
  top += std::max(titled_ends.height(0), titled_ends.height(1)) + kBetween;
  const std::vector<Scene> scenes = sides(report);
  const TitledScenes titled_sides(pen, scenes, picture_style(), kText, {kWidth, kNoLimit});
  for (std::size_t i = 0; i < scenes.size(); ++i) {
    titled_sides.paint(i, {kMargin, top});
    top += titled_sides.height(i) + kBetween;
  }
  return std::ceil(top - kBetween + kMargin);
}

Eigen::Vector2d paper_of(const Report& report) {
  check(report);
  double height = 0;
  draw_nowhere([&](cairo_t* cairo) { height = draw_all(cairo, report); });
  return {kPaperWidth, height};
}

}  // namespace

std::string picture_svg(const Report& report) {
  return svg_bytes(paper_of(report), [&](cairo_t* cairo) { draw_all(cairo, report); });
}

std::string picture_png(const Report& report) {
  return png_bytes(paper_of(report), [&](cairo_t* cairo) { draw_all(cairo, report); });
}

}  // namespace flitchwise::report
