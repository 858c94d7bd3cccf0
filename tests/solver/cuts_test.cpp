#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <optional>

#include "solver/setup/setup.hpp"
#include "tests/solver/setup_fixture.hpp"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using namespace flitchwise;
using namespace flitchwise::solver;
using namespace flitchwise::solver::test;

namespace {

constexpr double kRounding = 1e-9;
constexpr double kRadius = 0.2;
constexpr double kLength = 4.0;
constexpr double kKerf = 0.009;
constexpr double kCrosscutKerf = 0.010;
/// Areas of a 720-gon and of weights that step through stations.
constexpr double kWeightShare = 1e-3;

SetupSheet set_up_with(const LogModel& log, const SawPlan& plan, const Kit& kit) {
  return set_up(log, plan, kit, HeightTolerance{});
}

/// Area of a circle above height z.
double segment_m2(double radius_m, double z_m) {
  const double z = std::clamp(z_m, -radius_m, radius_m);
  return radius_m * radius_m * std::acos(z / radius_m) - z * std::sqrt(radius_m * radius_m - z * z);
}

/// `window`: length window that the cuts are for; Piece::kNone: those for the whole flitch.
std::vector<Cut> cuts_of(const SetupSheet& sheet, Cut::Kind kind, std::optional<std::size_t> window = {}) {
  std::vector<Cut> cuts;
  for (const Cut& cut : sheet.cuts) {
    const bool of_flitch = cut.piece.kind == Piece::Kind::flitch && cut.piece.window == window;
    if (cut.kind == kind && (!window || of_flitch)) {
      cuts.push_back(cut);
    }
  }
  return cuts;
}

/// Crosscuts of one board by itself.
std::vector<Cut> board_cuts(const SetupSheet& sheet, const std::string& board) {
  std::vector<Cut> cuts;
  for (const Cut& cut : sheet.cuts) {
    if (cut.piece.kind == Piece::Kind::board && cut.piece.board == board) {
      cuts.push_back(cut);
    }
  }
  return cuts;
}

/// Distance from the first cut's plane to the second's.
double between(const Cut& a, const Cut& b) {
  return a.plane.normal.dot(b.plane.point_m - a.plane.point_m);
}

/// Two planes of a cylinder with one flitch of `count` boards of 120 mm, side by side, in each window.
SawPlan flitch_plan(const LogModel& log, int count, const std::vector<std::pair<double, double>>& windows,
                    double yaw = 0, double roll = 0) {
  SawPlan plan = plan_of(log, {0.06, 2, 0.05, 0, roll});
  for (std::size_t w = 0; w < windows.size(); ++w) {
    for (int i = 0; i < count; ++i) {
      const double left_m = 0.15 - i * (0.12 + kKerf);
      add_board(plan, {0, w, windows[w].first, windows[w].second, left_m, left_m - 0.12, yaw});
    }
  }
  return plan;
}

}  // namespace

TEST_CASE("Level cuts come in the order in which they can be made") {
  const LogModel log = cylinder(kLength, kRadius);
  const Kit kit = long_kit();
  // The topmost plane leaves 15 mm over the middle: the opening goes one plane deeper.
  const SetupSheet sheet = set_up_with(log, plan_of(log, {0.185, 5}), kit);
  REQUIRE(sheet.opening_plane == 1);
  REQUIRE(sheet.cuts.size() == 5);
  const double heights[] = {0.126, 0.185, 0.067, 0.008, -0.051};
  for (std::size_t i = 0; i < 5; ++i) {
    CAPTURE(i);
    const Cut& cut = sheet.cuts[i];
    CHECK(cut.order == static_cast<int>(i) + 1);
    CHECK_THAT(cut.plane.point_m.z(), WithinAbs(heights[i], kRounding));
    CHECK_THAT(cut.width_m, WithinAbs(2 * std::sqrt(kRadius * kRadius - heights[i] * heights[i]), 1e-5));
    CHECK(cut.piece.kind == (i == 1 ? Piece::Kind::top_piece : Piece::Kind::log));
    CHECK(cut.rests_on == (i == 0 ? RestsOn::supports : RestsOn::sawn_face));
    CHECK(cut.turned_over == (i == 1));
    CHECK((cut.kind == Cut::Kind::opening) == (i == 0));
    // A sawn face lies half a kerf from its plane: thickness + kerf / 2 to the middle of the next kerf.
    const double depth_m = i == 0 ? sheet.rail_height_m + kit.rail_height_m : 0.05 + kKerf / 2;
    CHECK_THAT(cut.saw_depth_m, WithinAbs(depth_m, kRounding));
  }
}

TEST_CASE("Planes are thickness and kerf apart, pitched and rolled as well") {
  const LogModel log = cone(kLength, 0.19, 0.23);
  const SetupSheet sheet = set_up_with(log, plan_of(log, {0.14, 5, 0.05, 0.01, -0.8}), long_kit());
  const std::vector<Cut> cuts = cuts_of(sheet, Cut::Kind::level);
  REQUIRE(cuts.size() == 4);
  CHECK_THAT(between(sheet.cuts[0], cuts[0]), WithinAbs(-0.059, kRounding));
  for (std::size_t i = 1; i < cuts.size(); ++i) {
    CHECK_THAT(between(cuts[i - 1], cuts[i]), WithinAbs(-0.059, kRounding));
    CHECK_THAT(cuts[i].saw_depth_m, WithinAbs(0.05 + kKerf / 2, kRounding));
  }
}

TEST_CASE("The rail goes between where the saw cannot be set so shallow") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.saw_depth_min_m = 0.08;
  const SetupSheet sheet = set_up_with(log, plan_of(log, {0.12, 3}), kit);
  CHECK(sheet.cuts[1].rests_on == RestsOn::rail_on_face);
  CHECK_THAT(sheet.cuts[1].saw_depth_m, WithinAbs(0.05 + kKerf / 2 + kit.rail_height_m, kRounding));
}

TEST_CASE("The pieces weigh as much as the log less its sawdust") {
  const LogModel log = cylinder(kLength, kRadius);
  const double top_m = 0.13;
  const int planes = 5;
  const SetupSheet sheet = set_up_with(log, plan_of(log, {top_m, planes}), long_kit());
  REQUIRE(sheet.opening_plane == 0);
  const double pi = std::numbers::pi;
  CHECK_THAT(sheet.log_weight_kg, WithinRel(pi * kRadius * kRadius * kLength * kDensity, 1e-4));
  double pieces_kg = 0;
  double dust_kg = 0;
  for (const Cut& cut : sheet.cuts) {
    const double z = cut.plane.point_m.z();
    pieces_kg += cut.piece_weight_kg;
    dust_kg += (segment_m2(kRadius, z - kKerf / 2) - segment_m2(kRadius, z + kKerf / 2)) * kLength * kDensity;
  }
  const double lowest_m = top_m - (planes - 1) * 0.059 - kKerf / 2;
  const double left_kg = (pi * kRadius * kRadius - segment_m2(kRadius, lowest_m)) * kLength * kDensity;
  CHECK_THAT(pieces_kg + left_kg + dust_kg, WithinRel(sheet.log_weight_kg, kWeightShare));
  CHECK_THAT(sheet.cuts[0].piece_weight_kg,
             WithinRel(segment_m2(kRadius, top_m + kKerf / 2) * kLength * kDensity, kWeightShare));
  CHECK_THAT(sheet.cuts[1].piece_weight_kg, WithinRel((segment_m2(kRadius, top_m - 0.059 + kKerf / 2) -
                                                       segment_m2(kRadius, top_m - kKerf / 2)) *
                                                          kLength * kDensity,
                                                      kWeightShare));
}

TEST_CASE("A cone's pieces weigh as much as the cone less its sawdust") {
  const LogModel log = cone(kLength, 0.18, 0.24);
  const SawPlan plan = plan_of(log, {0.13, 4, 0.05, 0.0, 0.4});
  const SetupSheet sheet = set_up_with(log, plan, long_kit());
  // By Simpson's rule over x, from the closed form of a segment.
  const auto volume_m3 = [&](double low_m, double high_m) {
    constexpr int kSteps = 400;
    double sum = 0;
    for (int i = 0; i <= kSteps; ++i) {
      const double radius = 0.18 + 0.06 * i / kSteps;
      const int weight = i == 0 || i == kSteps ? 1 : (i % 2 == 1 ? 4 : 2);
      sum += weight * (segment_m2(radius, low_m) - segment_m2(radius, high_m));
    }
    return sum * kLength / kSteps / 3;
  };
  CHECK_THAT(sheet.log_weight_kg, WithinRel(volume_m3(-1, 1) * kDensity, kWeightShare));
  for (std::size_t i = 0; i < 4; ++i) {
    const double low_m = 0.13 - static_cast<double>(i) * 0.059 + kKerf / 2;
    const double high_m = i == 0 ? 1 : low_m + 0.05;
    CHECK_THAT(sheet.cuts[i].piece_weight_kg, WithinRel(volume_m3(low_m, high_m) * kDensity, kWeightShare));
  }
}

TEST_CASE("Boards side by side are parted by one cut more than there are boards") {
  for (const int count : {1, 2}) {
    for (const double yaw : {0.0, 0.01}) {
      for (const double roll : {0.0, 0.9}) {
        CAPTURE(count, yaw, roll);
        const LogModel log = cylinder(kLength, kRadius);
        const SawPlan plan = flitch_plan(log, count, {{0.4, 3.4}}, yaw, roll);
        const SetupSheet sheet = set_up_with(log, plan, long_kit());
        const std::vector<Cut> rips = cuts_of(sheet, Cut::Kind::edging);
        REQUIRE(rips.size() == static_cast<std::size_t>(count) + 1);
        for (std::size_t i = 0; i < rips.size(); ++i) {
          const Eigen::Vector3d bench = log_from_bench(plan).transpose() * rips[i].plane.normal;
          CHECK_THAT(bench.z(), WithinAbs(0, kRounding));
          CHECK_THAT(bench.y(), WithinAbs(std::cos(std::atan(yaw)), kRounding));
          CHECK_THAT(rips[i].width_m, WithinAbs(0.05, kRounding));
          if (i == 0) {
            CHECK(rips[i].saw_depth_m == 0);
            continue;
          }
          CHECK_THAT(between(rips[i - 1], rips[i]), WithinAbs(-(0.12 + kKerf), kRounding));
          CHECK_THAT(rips[i].saw_depth_m, WithinAbs(0.12 + kKerf / 2, kRounding));
          // What comes off between two of them is the board itself.
          CHECK_THAT(rips[i].piece_weight_kg, WithinRel(0.05 * 0.12 * 3.0 * kDensity, 0.02));
        }
      }
    }
  }
}

TEST_CASE("Exactly the listed cuts free the boards: every face lies half a kerf from one of them") {
  const LogModel log = cylinder(kLength, kRadius);
  const SawPlan plan = flitch_plan(log, 2, {{0.1, 1.9}, {1.92, 3.7}}, 0.005, 0.3);
  const SetupSheet sheet = set_up_with(log, plan, long_kit());
  for (const Board& board : plan.boards) {
    Eigen::Vector3d middle = Eigen::Vector3d::Zero();
    for (const Eigen::Vector3d& corner : board.corners_m) {
      middle += corner / 8;
    }
    int faces = 0;
    for (const Cut& cut : sheet.cuts) {
      const double half_m = (cut.kind == Cut::Kind::crosscut ? kCrosscutKerf : kKerf) / 2;
      double nearest_m = 1;
      for (const Eigen::Vector3d& corner : board.corners_m) {
        const double distance_m = cut.plane.normal.dot(corner - cut.plane.point_m);
        const bool same_side = distance_m * cut.plane.normal.dot(middle - cut.plane.point_m) > 0;
        nearest_m = std::min(nearest_m, same_side ? std::abs(distance_m) : -1);
      }
      const bool of_this_window = cut.piece.window == Piece::kNone || cut.piece.window == board.window;
      if (of_this_window) {
        CHECK(nearest_m >= half_m - kRounding);  // no cut runs through a board
        faces += nearest_m <= half_m + kRounding ? 1 : 0;
      }
    }
    CHECK(faces == 6);
  }
}

TEST_CASE("Length windows end to end share a crosscut, a log that stands out is trimmed") {
  const LogModel log = cylinder(kLength, kRadius);
  const SetupSheet sheet =
      set_up_with(log, flitch_plan(log, 2, {{0.1, 1.9}, {1.9 + kCrosscutKerf, 3.7}}), long_kit());
  const std::vector<Cut> parting = cuts_of(sheet, Cut::Kind::crosscut, Piece::kNone);
  const std::vector<Cut> first = cuts_of(sheet, Cut::Kind::crosscut, 0);
  const std::vector<Cut> second = cuts_of(sheet, Cut::Kind::crosscut, 1);
  REQUIRE((parting.size() == 1 && first.size() == 1 && second.size() == 1));
  CHECK_THAT(parting[0].plane.point_m.x(), WithinAbs(1.9 + kCrosscutKerf / 2, kRounding));
  CHECK_THAT(first[0].plane.point_m.x(), WithinAbs(0.1 - kCrosscutKerf / 2, kRounding));
  CHECK_THAT(second[0].plane.point_m.x(), WithinAbs(3.7 + kCrosscutKerf / 2, kRounding));
  // The planes lie 60 and 1 mm above the axis: the lower face is the wider one.
  CHECK_THAT(first[0].width_m, WithinAbs(2 * std::sqrt(kRadius * kRadius - 0.001 * 0.001), 1e-5));
  CHECK(cuts_of(sheet, Cut::Kind::edging, 0).size() == 3);
  CHECK(cuts_of(sheet, Cut::Kind::edging, 1).size() == 3);
  const double face_m2 = segment_m2(kRadius, 0.06 - 0.0545) - segment_m2(kRadius, 0.06 - kKerf / 2);
  CHECK_THAT(parting[0].piece_weight_kg, WithinRel(face_m2 * 1.9 * kDensity, kWeightShare));
  CHECK_THAT(first[0].piece_weight_kg, WithinRel(face_m2 * 0.09 * kDensity, kWeightShare));
  CHECK_THAT(second[0].piece_weight_kg, WithinRel(face_m2 * 0.29 * kDensity, kWeightShare));
}

TEST_CASE("A flitch as long as its boards needs no crosscut") {
  const LogModel log = cylinder(kLength, kRadius);
  const SetupSheet sheet = set_up_with(log, flitch_plan(log, 2, {{0, kLength}}), long_kit());
  CHECK(cuts_of(sheet, Cut::Kind::crosscut).empty());
  CHECK(cuts_of(sheet, Cut::Kind::edging).size() == 3);
}

TEST_CASE("Boards that end apart from their neighbours are trimmed by themselves") {
  const LogModel log = cylinder(kLength, kRadius);
  SawPlan plan = plan_of(log, {0.06, 2});
  add_board(plan, {0, 0, 0, 3.2, 0.14, 0.02, 0});
  add_board(plan, {0, 0, 0.5, 3.5, 0.02 - 3 * kKerf, -0.1 - 3 * kKerf, 0});
  plan.boards[0].id = "1a";
  plan.boards[1].id = "1b";
  const SetupSheet sheet = set_up_with(log, plan, long_kit());
  CHECK(cuts_of(sheet, Cut::Kind::crosscut, Piece::kNone).empty());
  CHECK(cuts_of(sheet, Cut::Kind::crosscut, 0).empty());
  CHECK(cuts_of(sheet, Cut::Kind::edging).size() == 4);  // a wide gap takes two
  const std::vector<Cut> first = board_cuts(sheet, "1a");
  const std::vector<Cut> second = board_cuts(sheet, "1b");
  REQUIRE((first.size() == 1 && second.size() == 2));
  CHECK_THAT(first[0].plane.point_m.x(), WithinAbs(3.2 + kCrosscutKerf / 2, kRounding));
  CHECK_THAT(second[0].plane.point_m.x(), WithinAbs(0.5 - kCrosscutKerf / 2, kRounding));
  CHECK_THAT(second[1].plane.point_m.x(), WithinAbs(3.5 + kCrosscutKerf / 2, kRounding));
  CHECK_THAT(first[0].piece_weight_kg, WithinRel((0.8 - kCrosscutKerf) * 0.12 * 0.05 * kDensity, 1e-6));
}

TEST_CASE("A cant is turned a quarter and sawn from its left side down") {
  const LogModel log = cylinder(kLength, kRadius);
  // A cant of 150 mm around the axis holds three boards of 50 mm on edge.
  SawPlan plan = plan_of(log, {0.0795, 2, 0.15});
  plan.flitches[0].kind = Flitch::Kind::cant;
  for (int i = 0; i < 3; ++i) {
    const double left_m = 0.0845 - i * (0.05 + kKerf);
    add_board(plan, {0, 0, 0.4, 3.4, left_m, left_m - 0.05, 0});
  }
  const Kit kit = long_kit();
  const SetupSheet sheet = set_up_with(log, plan, kit);
  CHECK(cuts_of(sheet, Cut::Kind::edging).empty());
  CHECK(cuts_of(sheet, Cut::Kind::crosscut).size() == 2);
  const std::vector<Cut> cuts = cuts_of(sheet, Cut::Kind::cant);
  REQUIRE(cuts.size() == 4);
  CHECK(cuts[0].rests_on == RestsOn::supports);
  // The bark stands 200 - 89 mm over the first cut.
  const double rail_m = std::max(sheet.rail_height_m, kRadius - 0.089 + kit.bark_clearance_m);
  CHECK_THAT(cuts[0].saw_depth_m, WithinAbs(rail_m + kit.rail_height_m, 1e-5));
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(cuts[i].piece.cant);
    CHECK(cuts[i].piece.flitch == 0);
    CHECK_THAT(cuts[i].width_m, WithinAbs(0.15, kRounding));
    CHECK_THAT(cuts[i].plane.point_m.y(), WithinAbs(0.089 - static_cast<double>(i) * 0.059, kRounding));
    if (i > 0) {
      CHECK(cuts[i].rests_on == RestsOn::sawn_face);
      CHECK_THAT(cuts[i].saw_depth_m, WithinAbs(0.05 + kKerf / 2, kRounding));
      CHECK_THAT(cuts[i].piece_weight_kg, WithinRel(0.05 * 0.15 * 3.0 * kDensity, 0.02));
    }
  }
  REQUIRE(sheet.flitches.size() == 1);
  CHECK(sheet.flitches[0].windows[0].lines.size() == 4);
}

TEST_CASE("Equal saw depths follow each other where the order allows") {
  const LogModel log = cylinder(kLength, kRadius);
  // Above the opening: 30 under 50 mm; below it 50 and 30: 50, 30 | 30, 50 needs two settings when the log is
  // sawn first, 30, 50 | 50, 30 three changes otherwise.
  SawPlan plan = plan_of(log, {0.16, 5});
  const double heights[] = {0.192, 0.133, 0.094, 0.035, -0.004};
  const double thicknesses[] = {0.05, 0.03, 0.05, 0.03};
  for (std::size_t i = 0; i < 5; ++i) {
    plan.planes[i].point_m.z() = heights[i];
    if (i > 0) {
      plan.flitches[i - 1].thickness_m = thicknesses[i - 1];
    }
  }
  Kit kit = long_kit();
  const SetupSheet sheet = set_up_with(log, plan, kit);
  CAPTURE(sheet.opening_plane);
  int changes = 0;
  for (std::size_t i = 2; i < sheet.cuts.size(); ++i) {
    changes += std::abs(sheet.cuts[i].saw_depth_m - sheet.cuts[i - 1].saw_depth_m) > 1e-6 ? 1 : 0;
  }
  REQUIRE(sheet.opening_plane >= 1);
  CHECK(changes <= 2);
}
