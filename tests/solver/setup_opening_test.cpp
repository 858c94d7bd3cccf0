/// An extra cut above the stack that only makes a flat to saw from: when it is chosen, what it costs, and
/// what follows it.

#include <algorithm>
#include <catch2/catch.hpp>

#include "solver/setup/kit_choice.hpp"
#include "solver/setup/setup.hpp"
#include "tests/solver/setup_fixture.hpp"

using Catch::Matchers::WithinAbs;
using namespace flitchwise;
using namespace flitchwise::solver;
using namespace flitchwise::solver::test;

namespace {

constexpr double kRounding = 1e-9;
constexpr double kRadius = 0.2;
constexpr double kLength = 4.0;
const HeightTolerance kTolerance{0.004, 0.006};

/// The crown of the log lies 110 mm above the topmost plane; the saw, set to this depth on a rail of 50 mm,
/// reaches 50 mm less.
Kit shallow_saw(double depth_max_m) {
  Kit kit = long_kit();
  kit.saw_depth_max_m = depth_max_m;
  return kit;
}

int reliefs(const SetupSheet& sheet) {
  int places = static_cast<int>(sheet.high_spots.size());
  for (const Support& support : sheet.supports) {
    for (const ScrewPoint* screw : {&support.left, &support.right}) {
      places += screw->status == ScrewPoint::Status::relieve ? 1 : 0;
    }
  }
  return places;
}

}  // namespace

TEST_CASE("Where the saw is too shallow for the topmost plane, an extra cut above it makes a flat") {
  const LogModel log = cylinder(kLength, kRadius);
  const Kit kit = shallow_saw(0.12);
  const SawPlan plan = plan_of(log, {0.09, 4, 0.05, 0.005});
  const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
  CHECK(sheet.opening_works);
  CHECK(sheet.opening_plane == 0);
  // A board's thickness above, so that the saw is set but once for all planes of the stack.
  CHECK_THAT(sheet.extra_cut_m, WithinAbs(0.059, kRounding));
  REQUIRE(sheet.opening_reason.obstacle);
  CHECK(sheet.opening_reason.obstacle->plane == 0);
  CHECK(std::holds_alternative<NoRoomForRail>(sheet.opening_reason.obstacle->what));
  REQUIRE(sheet.cuts.size() == 5);
  CHECK(sheet.cuts[0].kind == Cut::Kind::opening);
  const CutPlane opening = opening_cut_plane(plan, sheet);
  CHECK_THAT((sheet.cuts[0].plane.point_m - opening.point_m).norm(), WithinAbs(0, kRounding));
  CHECK_THAT((opening.point_m - plan.planes[0].point_m).dot(opening.normal), WithinAbs(0.059, kRounding));
  for (std::size_t i = 1; i < sheet.cuts.size(); ++i) {
    CHECK(sheet.cuts[i].piece.kind == Piece::Kind::log);
    CHECK(sheet.cuts[i].rests_on == RestsOn::sawn_face);
    CHECK_THAT(sheet.cuts[i].saw_depth_m, WithinAbs(0.0545, kRounding));
    CHECK_THAT((sheet.cuts[i].plane.point_m - plan.planes[i - 1].point_m).norm(), WithinAbs(0, kRounding));
  }
  // What comes off with the second cut is the wood between both, not the whole top of the log.
  const double upper_m = 0.09 + 0.059 - 0.0045;
  const double lower_m = 0.09 + 0.0045;
  const auto cap_m2 = [](double z) {
    return kRadius * kRadius * std::acos(z / kRadius) - z * std::sqrt(kRadius * kRadius - z * z);
  };
  CHECK_THAT(sheet.cuts[1].piece_weight_kg,
             Catch::Matchers::WithinRel(kDensity * kLength * (cap_m2(lower_m) - cap_m2(upper_m)), 0.002));
  // The end marks are those of the extra cut.
  CHECK_THAT(sheet.small_end.above_pith_m, WithinAbs(0.09 + 0.059 * std::hypot(1, 0.005) - 0.01, 1e-6));
  CHECK(can_be_sawn(log, plan, kit));
}

TEST_CASE("No extra cut where the kit needs none, or where one would help nothing") {
  const LogModel log = cylinder(kLength, kRadius);
  const SawPlan plan = plan_of(log, {0.09, 4});
  CHECK(set_up(log, plan, long_kit(), kTolerance).extra_cut_m == 0);
  Kit kit = shallow_saw(0.12);
  SECTION("the bar is too short for the topmost plane, too") {
    kit.saw_usable_bar_m = 0.3;  // the topmost plane is 2 sqrt(0.2^2 - 0.09^2) = 357 mm wide
  }
  SECTION("above it the screws find too little wood") {
    kit.screw_to_cut_m = 0.1;  // 191 - 90 - 10 mm under a screw over the topmost plane
  }
  SECTION("the saw cannot be set for the cut from the flat") {
    kit.saw_depth_min_m = 0.1;
    kit.saw_depth_max_m = 0.105;
    kit.rail_height_m = 0.02;
  }
  const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
  CHECK(sheet.extra_cut_m == 0);
  CHECK_FALSE(sheet.opening_works);
  CHECK(warning_of<OpeningFails>(sheet) != nullptr);
}

TEST_CASE("An extra cut saves cutting bark away at many places, not at a few") {
  // Rings of swollen bark, 30 mm high, under the rail: the saw reaches the topmost plane from over the log's
  // crown, but not from over them.
  const auto ringed = [](int rings) {
    return shaped_log(kLength, [rings](double x, double) {
      const double phase = x / kLength * (rings + 1);
      const double off = std::abs(phase - std::round(phase)) * kLength / (rings + 1);
      const bool ring = std::lround(phase) >= 1 && std::lround(phase) <= rings && off < 0.03;
      return kRadius + (ring ? 0.03 : 0.0);
    });
  };
  Kit kit =
      shallow_saw(0.169);  // 119 mm over the plane: the crown, its play and 5 mm of clearance are at 117
  kit.support_positions_m = {0.35, 1.05, 1.75, 2.7, 3.25, 4.05};
  const LogModel many = ringed(6);
  const SetupSheet sheet = set_up(many, plan_of(many, {0.09, 4}), kit, kTolerance);
  CHECK(sheet.extra_cut_m > 0);
  CHECK(reliefs(sheet) == 0);
  REQUIRE(sheet.opening_reason.obstacle);
  CHECK(std::get<BarkInTheWay>(sheet.opening_reason.obstacle->what).places == 6);
  const LogModel few = ringed(3);
  const SetupSheet axe = set_up(few, plan_of(few, {0.09, 4}), kit, kTolerance);
  CHECK(axe.extra_cut_m == 0);
  CHECK(reliefs(axe) == 3);
}
