/// What a setup makes of the parts that only some kits have: brackets, string, wood screws, thick supports.

#include <algorithm>
#include <catch2/catch.hpp>

#include "scan/model/errors.hpp"
#include "solver/setup/setup.hpp"
#include "tests/solver/setup_fixture.hpp"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using namespace flitchwise;
using namespace flitchwise::solver;
using namespace flitchwise::solver::test;

namespace {

constexpr double kRounding = 1e-9;
constexpr double kRadius = 0.2;
constexpr double kLength = 4.0;
constexpr double kGravity = 9.80665;
const HeightTolerance kTolerance{0.004, 0.006};

}  // namespace

TEST_CASE("The pith by tape is where tape and plumb line meet") {
  const LogModel log = cylinder(kLength, kRadius);
  const Eigen::Vector2d pith(0.03, -0.05);
  const double top_m = std::sqrt(kRadius * kRadius - pith.x() * pith.x()) - pith.y();
  const double edge_m = std::sqrt(kRadius * kRadius - pith.y() * pith.y());
  // Facing the small end, the log's left is at the left hand; facing the large end it is at the right.
  CHECK((pith_by_tape(log, false, top_m, edge_m - pith.x()) - pith).norm() < 1e-5);
  CHECK((pith_by_tape(log, true, top_m, edge_m + pith.x()) - pith).norm() < 1e-5);
}

TEST_CASE("A pith by tape that cannot be is refused with the end's name") {
  const LogModel log = cylinder(kLength, kRadius);
  for (const auto& [top, left] :
       {std::pair{0.0, 0.2}, {0.2, -0.1}, {0.5, 0.2}, {0.2, 0.5}, {std::nan(""), 0.2}}) {
    CAPTURE(top, left);
    CHECK_THROWS_AS(pith_by_tape(log, false, top, left), BadUse);
    CHECK_THROWS_WITH(pith_by_tape(log, true, top, left), Contains("large end"));
  }
}

TEST_CASE("The strings between the brackets' corners are as long as the corners are apart") {
  LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.bracket_width_m = 0.3;
  kit.bracket_height_m = 0.04;
  const double top_m = 0.12;
  const BracketCheck square = set_up(log, plan_of(log, {top_m, 3}), kit, kTolerance).brackets;
  const double diagonal_m = std::hypot(kLength, 0.3);
  CHECK_THAT(square.left_to_right_m, WithinAbs(diagonal_m, 1e-6));
  CHECK_THAT(square.right_to_left_m, WithinAbs(diagonal_m, 1e-6));
  // Twist that lifts the cut's edge by 4 mm lifts a bracket's corner by 4 mm x 150 / half the cut's width;
  // the strings part by half of the two corners' difference, which is as much.
  const double half_cut_m = std::sqrt(kRadius * kRadius - top_m * top_m);
  CHECK_THAT(square.most_gap_m, WithinRel(0.004 * 0.15 / half_cut_m, 1e-3));
  // A large end whose left stands in by a tenth: its left corner is 15 mm nearer, its right one 15 mm
  // further.
  log.large_end.normal = Eigen::Vector3d(1, 0.1, 0).normalized();
  const BracketCheck slanting = set_up(log, plan_of(log, {top_m, 3}), kit, kTolerance).brackets;
  CHECK_THAT(slanting.right_to_left_m, WithinAbs(std::hypot(kLength - 0.015, 0.3), 1e-6));
  CHECK_THAT(slanting.left_to_right_m, WithinAbs(std::hypot(kLength + 0.015, 0.3), 1e-6));
  const BracketCheck none = set_up(log, plan_of(log, {top_m, 3}), long_kit(), kTolerance).brackets;
  CHECK(none.left_to_right_m == 0);
}

TEST_CASE("The rail lies high enough for its brackets to clear the kerf, or it is warned of") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.bracket_width_m = 0.3;
  kit.bracket_height_m = 0.2;
  const SetupSheet clear = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  CHECK(clear.rail_height_m >= 0.2 + kit.kerf_m / 2 + kit.screw_to_cut_m - kRounding);
  CHECK(warning_of<BracketsTooHigh>(clear) == nullptr);
  kit.bracket_height_m = 0.4;  // more than the saw's depth range leaves
  const SetupSheet low = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  const auto* high = warning_of<BracketsTooHigh>(low);
  REQUIRE(high != nullptr);
  CHECK(high->bracket_m == 0.4);
  CHECK(high->rail_height_m == low.rail_height_m);
  CHECK_THAT(high->would_do_m, WithinAbs(low.rail_height_m - kit.kerf_m / 2 - kit.screw_to_cut_m, kRounding));
}

TEST_CASE("The string's height over a support is the kit's less its sag there") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.truing = Kit::Truing::string;
  kit.string_height_m = 0.045;
  kit.gauge_m = 0.005;
  kit.string_kg_m = 0.002;
  kit.string_tension_n = 20;
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  // The catenary over 4 m with its parameter a = T / w, from its own formula.
  const double a = 20 / (0.002 * kGravity);
  int over_log = 0;
  for (const Support& support : sheet.supports) {
    const double at = support.x_m;
    if (at > 0 && at < kLength) {
      const double sag = a * (std::cosh(kLength / 2 / a) - std::cosh((at - kLength / 2) / a));
      CHECK_THAT(support.string_sag_m, WithinAbs(sag, 1e-8));
      CHECK_THAT(support.string_m, WithinAbs(0.045 - sag, 1e-8));
      ++over_log;
    }
  }
  CHECK(over_log >= 5);
  kit.string_tension_n = kit.string_kg_m = 0;  // not known: no sag is reckoned
  CHECK(set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance).supports[3].string_m == 0.045);
}

TEST_CASE("Wood screws that end near the cut are named with the depth that would do") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.wood_screw_bite_m = 0.03;
  kit.screw_to_cut_m = 0.015;
  kit.screw_bite_m = 0.01;
  const double bark_m = std::sqrt(kRadius * kRadius - 0.06 * 0.06);
  // 40 mm of bark and wood above the only plane: enough for the levelling screw, not for 30 + 15.
  const SetupSheet sheet = set_up(log, plan_of(log, {bark_m - 0.04, 1}), kit, kTolerance);
  const auto on_log = std::count_if(sheet.supports.begin(), sheet.supports.end(), [](const Support& support) {
    return support.x_m >= 0 && support.x_m <= kLength;
  });
  REQUIRE(sheet.screw_faults.size() == 2 * static_cast<std::size_t>(on_log));
  CHECK_THAT(sheet.screw_faults[0].most_bite_m, WithinAbs(0.025, kPolygon_m));
  CHECK_THAT(sheet.screw_faults[0].tip_above_cut_m, WithinAbs(0.01, kPolygon_m));
  const auto* near_cut = warning_of<ScrewsNearCut>(sheet);
  REQUIRE(near_cut != nullptr);
  CHECK(near_cut->places.size() == sheet.screw_faults.size());
  CHECK_FALSE(near_cut->many_positions);
  CHECK(near_cut->bite_m == 0.03);
  CHECK(near_cut->to_cut_m == 0.015);
  const SetupSheet deep = set_up(log, plan_of(log, {bark_m - 0.046, 1}), kit, kTolerance);
  CHECK(deep.screw_faults.empty());
  CHECK(warning_of<ScrewsNearCut>(deep) == nullptr);
}

TEST_CASE("The opening goes deeper for wood screws than for levelling screws alone") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.screw_bite_m = 0.01;
  kit.screw_to_cut_m = 0.015;
  const SawPlan plan = plan_of(log, {0.15, 4});  // 41 mm above the first plane under a screw
  CHECK(set_up(log, plan, kit, kTolerance).opening_plane == 0);
  kit.wood_screw_bite_m = 0.03;
  const SetupSheet deeper = set_up(log, plan, kit, kTolerance);
  CHECK(deeper.opening_plane == 1);
  REQUIRE(deeper.opening_reason.obstacle);
  CHECK(std::holds_alternative<ScrewsLackWood>(deeper.opening_reason.obstacle->what));
}

TEST_CASE("Supports that stand out below the rail keep clear of the crown") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.support_thickness_m = 0.06;
  kit.support_width_m = 0.05;
  kit.screw_reach_min_m = 0.07;
  const double top_m = 0.12;
  const SetupSheet sheet = set_up(log, plan_of(log, {top_m, 3}), kit, kTolerance);
  CHECK(sheet.high_spots.empty());
  CHECK(sheet.rail_height_m >= kRadius - top_m + 0.06 + kBarkPlay_m + kit.bark_clearance_m - kPolygon_m);
}

TEST_CASE("A kit may fix how much deeper the opening cut is set than the normal one") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  kit.opening_deeper_m = 0.0635;
  const SetupSheet sheet = set_up(log, plan_of(log, {0.16, 3, 0.04572}), kit, kTolerance);
  REQUIRE(sheet.cuts.size() >= 2);
  CHECK_THAT(sheet.cuts[0].saw_depth_m - sheet.cuts[1].saw_depth_m, WithinAbs(0.0635, kRounding));
  CHECK_THAT(sheet.rail_height_m + kit.rail_height_m, WithinAbs(sheet.cuts[0].saw_depth_m, kRounding));
}

TEST_CASE("A moved rail says which supports stand where others stood") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = short_kit();  // 2.4 m; over 4 m it moves by 1.6 m
  kit.support_positions_m = {0.1, 0.7, 1.7, 2.3};
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  REQUIRE(sheet.rail_positions.size() == 2);
  CHECK_THAT(sheet.rail_positions[1].start_x_m - sheet.rail_positions[0].start_x_m,
             WithinAbs(1.6, kRounding));
  for (const Support& support : sheet.supports) {
    const int expected = support.rail_position == 1 ? 0
                         : support.support == 1     ? 3
                         : support.support == 2     ? 4
                                                    : 0;
    CAPTURE(support.rail_position, support.support);
    CHECK(support.same_place_as == expected);  // 1.6 + 0.1 = 1.7 and 1.6 + 0.7 = 2.3
  }
}

TEST_CASE("Stubs that come under the log while it is rolled are warned of, others are not") {
  LogModel log = cylinder(kLength, kRadius);
  const double quarter = std::numbers::pi / 2;
  const auto warned = [&](double theta_rad, double roll_rad) {
    log.knots = {{2.0, theta_rad, 0.04, 0.05}};
    const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3, 0.05, 0, roll_rad}), long_kit(), kTolerance);
    const auto* under = warning_of<KnotsUnderLog>(sheet);
    return under != nullptr && under->knots.size() == 1 && under->knots[0].x_m == 2.0;
  };
  // A clockwise roll (positive) brings what lies to the right of the lowest line, further round than -90
  // degrees, under the log.
  CHECK(warned(-quarter - 0.3, 0.6));
  CHECK_FALSE(warned(-quarter + 0.3, 0.6));
  CHECK(warned(-quarter + 0.3, -0.6));
  CHECK_FALSE(warned(-quarter - 0.3, -0.6));
  CHECK_FALSE(warned(-quarter - 0.3, 0));
  CHECK_FALSE(warned(quarter, 0.6));
}

TEST_CASE("The rail clears the upper edge of a stub that leans away from it") {
  LogModel log = cylinder(kLength, kRadius);
  const double stub_m = 0.07;
  const double theta_rad = 1.2;
  const double top_m = kRadius + kBarkPlay_m + stub_m;
  const double edge_y_m = top_m * std::cos(theta_rad) - stub_m / 2 * std::sin(theta_rad);
  const double edge_z_m = top_m * std::sin(theta_rad) + stub_m / 2 * std::cos(theta_rad);
  const Kit kit = long_kit();
  REQUIRE(edge_y_m > 0);
  REQUIRE(edge_y_m < kit.rail_width_m / 2);
  log.knots = {{2.0, theta_rad, stub_m, stub_m}};
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  CHECK(sheet.high_spots.empty());
  CHECK_THAT(sheet.rail_height_m, WithinAbs(edge_z_m + kit.bark_clearance_m - 0.12, kPolygon_m));
}

TEST_CASE("The rail clears the flank of a stub whose tip stands beside it") {
  LogModel log = cylinder(kLength, kRadius);
  const double stub_m = 0.07;
  const double theta_rad = 1.05;
  const Kit kit = long_kit();
  const double tip_m = kRadius + kBarkPlay_m + stub_m;
  const double edge_m = kit.rail_width_m / 2;
  REQUIRE(tip_m * std::cos(theta_rad) - stub_m / 2 * std::sin(theta_rad) > edge_m + 0.005);
  // Where the flank that faces the rail passes under its edge.
  const double out_m = (edge_m + stub_m / 2 * std::sin(theta_rad)) / std::cos(theta_rad);
  const double flank_z_m = out_m * std::sin(theta_rad) + stub_m / 2 * std::cos(theta_rad);
  REQUIRE(out_m > kRadius + kBarkPlay_m);
  log.knots = {{2.0, theta_rad, stub_m, stub_m}};
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  CHECK(sheet.high_spots.empty());
  CHECK(sheet.rail_height_m >= flank_z_m + kit.bark_clearance_m - 0.12);
  CHECK(sheet.rail_height_m < tip_m * std::sin(theta_rad) + stub_m + kit.bark_clearance_m - 0.12);
}

TEST_CASE("A screw on the foot of a stub is told, one beside it is not") {
  LogModel log = cylinder(kLength, kRadius);
  const SawPlan plan = plan_of(log, {0.12, 3});
  const Support support = set_up(log, plan, long_kit(), kTolerance).supports.at(1);
  const double theta_rad = std::acos(support.right.y_m / kRadius);
  const auto told = [&](double beside_m, double height_m) {
    log.knots = {{support.x_m + beside_m, theta_rad, height_m, 0.05}};
    const SetupSheet sheet = set_up(log, plan, long_kit(), kTolerance);
    const auto* on_stubs = warning_of<ScrewsOnStubs>(sheet);
    return on_stubs != nullptr && on_stubs->screws.size() == 1 && on_stubs->screws[0].rail_position == 1 &&
           on_stubs->screws[0].support == 2 && !on_stubs->screws[0].left;
  };
  CHECK(told(0.02, 0.06));
  CHECK_FALSE(told(0.05, 0.06));
  CHECK_FALSE(told(0.02, 0.02));  // a rounded knot is bark like any other
}

TEST_CASE("The balance of a cylinder is that of its closed forms") {
  const LogModel log = cylinder(kLength, kRadius);
  SawPlan plan = plan_of(log, {0.1, 3});
  add_board(plan, {0, 0, 0.5, 3.5, 0.075, -0.075});
  const SetupSheet sheet = set_up(log, plan, long_kit(), kTolerance);
  CHECK_THAT(sheet.balance.log_m3, WithinRel(std::numbers::pi * kRadius * kRadius * kLength, 1e-4));
  CHECK_THAT(sheet.balance.boards_m3, WithinAbs(0.05 * 0.15 * 3.0, kRounding));
  // Three level cuts, two crosscuts over the flitch, two edging cuts of the boards' length.
  const double kerf_m = plan.options.kerf_m;
  double sawn_m2 = 0;
  for (const double z : {0.1, 0.1 - 0.059, 0.1 - 0.118}) {
    sawn_m2 += 2 * std::sqrt(kRadius * kRadius - z * z) * kLength;
  }
  const double flitch_m = 2 * std::sqrt(kRadius * kRadius - 0.041 * 0.041);
  const double cross_m2 = 2 * flitch_m * 0.05;
  const double edge_m2 = 2 * 0.05 * 3.0;
  CHECK_THAT(sheet.balance.sawn_m2, WithinRel(sawn_m2 + cross_m2 + edge_m2, 1e-4));
  CHECK_THAT(sheet.balance.sawdust_m3, WithinRel(sawn_m2 * kerf_m + cross_m2 * plan.options.crosscut_kerf_m +
                                                     edge_m2 * plan.options.rip_kerf_m,
                                                 1e-4));
}

TEST_CASE("Edging lines are measured from the flitch's left bark edge") {
  const LogModel log = cone(kLength, 0.15, 0.2);
  SawPlan plan = plan_of(log, {0.08, 2});
  const double yaw = 0.01;
  add_board(plan, {0, 0, 0.5, 3.5, 0.07, -0.03, yaw});
  const SetupSheet sheet = set_up(log, plan, long_kit(), kTolerance);
  REQUIRE(sheet.flitches.size() == 1);
  const FlitchLayout& layout = sheet.flitches[0];
  REQUIRE(layout.windows.size() == 1);
  REQUIRE(layout.windows[0].lines.size() == 2);
  const double half_kerf_m = plan.options.rip_kerf_m / 2;
  const double face_m = 0.08 - plan.options.kerf_m / 2;
  const double turn = std::atan(yaw);
  const auto expected_m = [&](double x_m, double across_m) {
    const double radius_m = 0.15 + 0.05 * x_m / kLength;
    const double edge_m = std::sqrt(radius_m * radius_m - face_m * face_m);
    return edge_m - (across_m / std::cos(turn) + x_m * yaw);  // the line: across = -x sin + y cos
  };
  const EdgingWindow& window = layout.windows[0];
  CHECK_THAT(window.start_m, WithinAbs(0.5 * std::cos(turn) - 0.07 * std::sin(turn), kRounding));
  CHECK_THAT(window.lines[0].at_start_m, WithinAbs(expected_m(window.start_m, 0.07 + half_kerf_m), 2e-5));
  CHECK_THAT(window.lines[0].at_end_m, WithinAbs(expected_m(window.end_m, 0.07 + half_kerf_m), 2e-5));
  CHECK_THAT(window.lines[1].at_end_m, WithinAbs(expected_m(window.end_m, -0.03 - half_kerf_m), 2e-5));
  CHECK_THAT(layout.upper_left_m.front(), WithinAbs(std::sqrt(0.0225 - face_m * face_m), kPolygon_m));
  CHECK_THAT(layout.lower_right_m.back(),
             WithinAbs(-std::sqrt(0.04 - std::pow(face_m - 0.05, 2)), kPolygon_m));
}
