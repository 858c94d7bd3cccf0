/// The scenes that every drawing is painted from.

#include "tools/report/scene/scene.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>

#include "tests/tools/report_fixture.hpp"
#include "tools/report/paint/canvas.hpp"
#include "tools/report/paint/scene_painter.hpp"
#include "tools/report/quantities.hpp"
#include "tools/report/scene/end_face.hpp"
#include "tools/report/scene/flitch_view.hpp"
#include "tools/report/scene/scene_json.hpp"
#include "tools/report/scene/section.hpp"
#include "tools/report/scene/side_view.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::test;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kExact = 1e-9;  // metres: the same figures by another way

std::vector<Shape> shapes_of(const Scene& scene, Role role) {
  std::vector<Shape> found;
  std::copy_if(scene.shapes.begin(), scene.shapes.end(), std::back_inserter(found),
               [&](const Shape& shape) { return shape.role == role; });
  return found;
}

std::vector<Label> labels_of(const Scene& scene, Role role) {
  std::vector<Label> found;
  std::copy_if(scene.labels.begin(), scene.labels.end(), std::back_inserter(found),
               [&](const Label& label) { return label.role == role; });
  return found;
}

std::multiset<std::string> figures_of(const Scene& scene, Role role) {
  std::multiset<std::string> figures;
  for (const Dimension& dimension : scene.dimensions) {
    if (dimension.role == role) {
      figures.insert(dimension.lines.front());
    }
  }
  return figures;
}

Eigen::AlignedBox2d box_of(const Shape& shape) {
  Eigen::AlignedBox2d box;
  for (const Spot& corner : shape.corners) {
    box.extend(corner.at_m);
  }
  return box;
}

/// On a scratch sheet of paper.
void with_painter(const Scene& scene, const Style& style,
                  const std::function<void(const ScenePainter&)>& check) {
  draw_nowhere([&](cairo_t* cairo) {
    Pen pen(cairo);
    check(ScenePainter(pen, scene, style, 10));
  });
}

}  // namespace

TEST_CASE("an end face has its cuts at the plan's heights and a name for each mark") {
  const ReportedLog made = made_by_hand();
  const Report report = made.report();
  for (const bool large_end : {false, true}) {
    CAPTURE(large_end);
    const Scene scene = end_face_with_marks(report, large_end);
    const double pith = (large_end ? made.log.pith.large_end_m : made.log.pith.small_end_m).y();
    const solver::EndMark& mark = large_end ? made.sheet.large_end : made.sheet.small_end;
    const auto cuts = shapes_of(scene, Role::opening_cut);
    REQUIRE(cuts.size() == 1);
    for (const Spot& end : cuts[0].corners) {
      CHECK_THAT(end.at_m.y(), WithinAbs(pith + mark.above_pith_m, kExact));
    }
    const auto planes = shapes_of(scene, Role::plane);
    REQUIRE(planes.size() == 2);  // without the opening cut's
    CHECK_THAT(planes[0].corners[0].at_m.y(), WithinAbs(0.0335, kExact));
    CHECK_THAT(planes[1].corners[1].at_m.y(), WithinAbs(-0.0255, kExact));
    std::multiset<std::string> names;
    for (const Label& label : labels_of(scene, Role::mark_name)) {
      names.insert(label.lines.front());
    }
    CHECK(names == std::multiset<std::string>{"cut line", "middle", "plumb", "rail"});
    CHECK(figures_of(scene, Role::dimension).size() == 6);
    CHECK(figures_of(scene, Role::dimension).count(bare_length(report.units, mark.above_bottom_m)) == 1);
  }
}

TEST_CASE("an end face's wood, boards and planes lie within its bark") {
  const ReportedLog made = made_by_solver(7);
  for (const bool large_end : {false, true}) {
    const Scene scene = end_face_with_marks(made.report(), large_end);
    const Eigen::AlignedBox2d bark = box_of(shapes_of(scene, Role::bark).at(0));
    for (const Role role : {Role::wood, Role::plane, Role::seen_edge, Role::unseen_edge, Role::pith}) {
      for (const Shape& shape : shapes_of(scene, role)) {
        CHECK(bark.contains(box_of(shape)));
      }
    }
    const Eigen::AlignedBox2d rail = box_of(shapes_of(scene, Role::rail).at(0));
    CHECK(rail.min().y() == rail.max().y());
    std::size_t boards = shapes_of(scene, Role::board).size() + shapes_of(scene, Role::far_board).size();
    CHECK(boards == made.plan.boards.size());
    CHECK(labels_of(scene, Role::board).size() == boards);
  }
}

TEST_CASE("the ends are seen from before them: left and right change sides") {
  const ReportedLog made = made_by_hand();
  const SectionView small_end{0, false};
  const SectionView large_end{0, true};
  CHECK(small_end.at({0.1, 0.2}) == Eigen::Vector2d(-0.1, 0.2));
  CHECK(large_end.at({0.1, 0.2}) == Eigen::Vector2d(0.1, 0.2));
  const auto first_board = [&](const SectionView& view) {
    return report::box_of(board_section(view, made.plan.boards[0], 1));
  };
  CHECK_THAT(first_board(small_end).min().x(), WithinAbs(-0.075, kExact));
  CHECK_THAT(first_board(large_end).max().y(), WithinAbs(0.088, kExact));
  // A quarter turn clockwise as seen from the small end brings the log's left side up.
  const SectionView turned{3.14159265358979 / 2, false};
  CHECK((turned.at({0.1, 0}) - Eigen::Vector2d(0, 0.1)).norm() < kExact);
}

TEST_CASE("a level crosses an outline from side to side, or not at all") {
  const Corners square = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
  CHECK(crossing(square, 0.5).min().x() == -1);
  CHECK(crossing(square, 0.5).max().x() == 1);
  CHECK(crossing(square, 1.5).isEmpty());
  CHECK(crossing({}, 0).isEmpty());
}

TEST_CASE("the side view has the rail's underside at the screws' tops, and a note a support") {
  const ReportedLog made = made_by_hand();
  const Scene scene = side_view(made.report(), 0, 2);
  CHECK(scene.heights == 2);
  CHECK(labels_of(scene, Role::support_note).size() == made.sheet.supports.size());
  CHECK(labels_of(scene, Role::support).size() == made.sheet.supports.size());
  const auto packers = shapes_of(scene, Role::packer);
  REQUIRE(packers.size() == 1);
  CHECK_THAT(packers[0].corners[0].at_m.x(), WithinAbs(1.55, kExact));
  CHECK_THAT(packers[0].corners[0].at_m.y(), WithinAbs(0.0925 + 0.12, kExact));
  CHECK_THAT(packers[0].corners[1].at_m.y(), WithinAbs(0.0925 + 0.12 - 0.0821, kExact));
  CHECK(shapes_of(scene, Role::relieve).size() == 1);
  CHECK(shapes_of(scene, Role::screw).size() == 3);
  CHECK(shapes_of(scene, Role::no_bearing).empty());  // there is nothing below the screw
  CHECK(figures_of(scene, Role::length) ==
        std::multiset<std::string>{"rail: -100 to 3200 mm", "log with whole sections: 3100 mm"});
  CHECK(shapes_of(side_view(made.report(), 5, 2), Role::rail).empty());
}

TEST_CASE("a flitch from above has its edging lines where the layout says, with a figure at both ends") {
  const ReportedLog made = made_by_solver(7);
  for (const solver::FlitchLayout& layout : made.sheet.flitches) {
    const Scene scene = flitch_view(made.report(), layout);
    std::size_t lines = 0;
    for (const solver::EdgingWindow& window : layout.windows) {
      lines += window.lines.size();
    }
    CHECK(shapes_of(scene, Role::edging).size() == lines);
    CHECK(labels_of(scene, Role::edging).size() ==
          layout.windows.front().lines.size() + layout.windows.back().lines.size());
    CHECK(shapes_of(scene, Role::board).size() == made.plan.flitches[layout.flitch].boards.size());
    const Eigen::AlignedBox2d upper = box_of(shapes_of(scene, Role::upper_face).at(0));
    for (const Shape& board : shapes_of(scene, Role::board)) {
      CHECK(upper.contains(box_of(board)));
    }
  }
}

TEST_CASE("a scene is painted as large as it can be within its field, texts included") {
  const Scene scene = end_face_with_marks(made_by_hand().report(), false);
  with_painter(scene, sheet_style(), [](const ScenePainter& painter) {
    constexpr double kHair = 0.01;
    const Eigen::Vector2d wide(500, 200);
    const Eigen::Vector2d narrow(250, 900);
    CHECK_THAT(painter.box(painter.fit(wide)).sizes().y(), WithinAbs(wide.y(), kHair));
    CHECK_THAT(painter.box(painter.fit(narrow)).sizes().x(), WithinAbs(narrow.x(), kHair));
    CHECK(painter.box(painter.fit(wide)).sizes().x() < wide.x());
  });
}

TEST_CASE("a text gives way to an earlier one, and one that is too small is left out") {
  Scene scene;
  scene.shapes = {shape(Role::bark, {{0, 0}, {1, 0}, {1, 1}}, true)};
  scene.labels = {{Role::support, {}, Align::middle, {"first"}}};
  const auto height = [&] {
    double sum = 0;
    with_painter(scene, sheet_style(),
                 [&](const ScenePainter& painter) { sum = painter.box(1e-3).sizes().y(); });
    return sum;
  };
  const double one = height();
  CHECK(one > 0);
  scene.labels.push_back({Role::support, {}, Align::middle, {"second"}, 1});
  scene.labels.push_back({Role::support, {}, Align::middle, {"third"}, -1});
  CHECK_THAT(height(), WithinAbs(3 * one, 0.01));
  scene.labels.push_back({Role::support, {}, Align::middle, {"fourth"}, 1, {}, 1});
  CHECK_THAT(height(), WithinAbs(3 * one, 0.01));  // a metre is a thousandth of a point here
}

TEST_CASE("every style draws the marks, and every role has a name of its own") {
  for (const Style* style : {&sheet_style(), &sheet_end_style(), &picture_style(), &template_style()}) {
    for (const Role role : {Role::opening_cut, Role::rail, Role::plumb, Role::pith}) {
      REQUIRE(style->count(role) == 1);
      CHECK(style->at(role).weight > 0);
    }
  }
  for (const auto& [role, look] : sheet_style()) {
    CHECK(look.ink.red == look.ink.blue);
    CHECK((!look.fill || look.fill->red == look.fill->blue));
  }
  std::set<std::string> names;
  for (int role = 0; role <= static_cast<int>(Role::support_note); ++role) {
    CHECK(names.insert(role_name(static_cast<Role>(role))).second);
  }
}

TEST_CASE("the page gets a scene in millimetres, with what is aside after them") {
  Scene scene;
  scene.title = "A line";
  scene.shapes = {line(Role::plumb, {{0.1, -0.02}}, {{0.5, 0}, {0, 1}})};
  scene.labels = {{Role::pith, {{0, 0.0012}}, Align::right, {"pith"}, -1}};
  const auto json = scene_json(scene);
  CHECK(json["shapes"][0]["role"] == "plumb");
  CHECK(json["shapes"][0]["corners"].dump() == "[[100.0,-20.0],[500.0,0.0,0.0,1.0]]");
  CHECK(json["labels"][0]["at"].dump() == "[0.0,1.2]");
  CHECK(json["labels"][0]["align"] == 1);
  CHECK(json["dimensions"].empty());
}
