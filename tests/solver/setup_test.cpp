#include "solver/setup/setup.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "scan/model/errors.hpp"
#include "tests/solver/setup_fixture.hpp"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using flitchwise::BadUse;
using namespace flitchwise;
using namespace flitchwise::solver;
using namespace flitchwise::solver::test;

namespace {

constexpr double kRounding = 1e-9;
constexpr double kRadius = 0.2;
constexpr double kLength = 4.0;
const HeightTolerance kTolerance{0.004, 0.006};

bool within_log(const Support& support) {
  return support.x_m >= 0 && support.x_m <= kLength;
}

/// Height of the bark of a round log above its axis, y beside it.
double bark_z(double radius_m, double y_m) {
  return std::sqrt(radius_m * radius_m - y_m * y_m);
}

/// The highest corner of the bark within `half` of y, above a plane; the log frame turned by hand.
struct Strip {
  double y_m = 0;
  double half_m = 0;
};
double highest_bark_m(const LogModel& log, double roll, const Strip& strip, double plane_m, double pitch) {
  double highest = 0;
  for (const Station& station : log.stations) {
    const Eigen::MatrixX2d bark = bark_outline_m(station);
    for (Eigen::Index k = 0; k < bark.rows(); ++k) {
      const double y = bark(k, 0) * std::cos(roll) - bark(k, 1) * std::sin(roll);
      const double z = bark(k, 0) * std::sin(roll) + bark(k, 1) * std::cos(roll);
      if (std::abs(y - strip.y_m) < strip.half_m) {
        const double plane_z = plane_m + pitch * (station.x_m - kLength / 2);
        highest = std::max(highest, (z - plane_z) / std::hypot(1, pitch));
      }
    }
  }
  return highest;
}

}  // namespace

TEST_CASE("On a cylinder the gaps are those of a circle") {
  const LogModel log = cylinder(kLength, kRadius);
  const double top_m = 0.12;
  const Kit kit = long_kit();
  const SetupSheet sheet = set_up(log, plan_of(log, {top_m, 4}), kit, kTolerance);
  CHECK(sheet.opening_plane == 0);
  CHECK(sheet.opening_works);
  CHECK_FALSE(sheet.opening_reason.obstacle);
  CHECK_THAT(sheet.opening_reason.least_wood_m, WithinAbs(bark_z(kRadius, 0.06) - top_m, kPolygon_m));
  CHECK_THAT(sheet.rail_y_m, WithinAbs(0, kRounding));
  // The lowest rail that clears the bark, wherever it may lie.
  const double rail_z_m = kRadius + kBarkPlay_m + kit.bark_clearance_m;
  CHECK_THAT(sheet.rail_height_m, WithinAbs(rail_z_m - top_m, kPolygon_m));
  const double gap_m = rail_z_m - bark_z(kRadius, 0.06);
  REQUIRE(sheet.rail_positions.size() == 1);
  REQUIRE(sheet.supports.size() == kit.support_positions_m.size());
  for (const Support& support : sheet.supports) {
    REQUIRE(within_log(support));
    CHECK_THAT(support.left.y_m, WithinAbs(0.06, kRounding));
    CHECK_THAT(support.right.y_m, WithinAbs(-0.06, kRounding));
    for (const ScrewPoint& screw : {support.left, support.right}) {
      CHECK(screw.status == ScrewPoint::Status::ok);
      CHECK(screw.seen);
      CHECK_THAT(screw.gap_m, WithinAbs(gap_m, 2 * kPolygon_m));
    }
  }
  CHECK(sheet.high_spots.empty());
  CHECK_THAT(sheet.rail_positions[0].start_x_m, WithinAbs(-0.2, kRounding));
  CHECK_THAT(sheet.rail_positions[0].end_x_m, WithinAbs(4.2, kRounding));
  CHECK_THAT(sheet.supports[0].x_m, WithinAbs(0.2, kRounding));
}

TEST_CASE("On a pitched plane gaps are measured square to the rail") {
  const double small_m = 0.17;
  const double large_m = 0.21;
  const LogModel log = cone(kLength, small_m, large_m);
  const double pitch = 0.02;
  const SetupSheet sheet = set_up(log, plan_of(log, {0.11, 4, 0.05, pitch}), long_kit(), kTolerance);
  const double cosine = 1 / std::hypot(1, pitch);
  for (const Support& support : sheet.supports) {
    // Down from the rail's underside along the normal until the cone is met.
    const double rail_x = support.x_m - sheet.rail_height_m * pitch * cosine;
    const double rail_z = 0.11 + pitch * (support.x_m - kLength / 2) + sheet.rail_height_m * cosine;
    double low = 0;
    double high = 0.2;
    while (high - low > 1e-12) {
      const double gap = (low + high) / 2;
      const double x = rail_x + gap * pitch * cosine;
      const double z = rail_z - gap * cosine;
      const double radius = small_m + (large_m - small_m) * x / kLength;
      (std::hypot(support.left.y_m, z) > radius ? low : high) = gap;
    }
    CAPTURE(support.x_m);
    CHECK(support.left.status == ScrewPoint::Status::ok);
    CHECK_THAT(support.left.gap_m, WithinAbs(low, 2 * kPolygon_m));
    CHECK_THAT(support.right.gap_m, WithinAbs(low, 2 * kPolygon_m));
  }
  const double step_m = sheet.supports[1].x_m - sheet.supports[0].x_m;
  CHECK_THAT(step_m, WithinAbs(0.6 * cosine, kRounding));
}

TEST_CASE("Too short screws get blocks of exactly what they lack") {
  const LogModel log = cone(kLength, 0.16, 0.22);
  Kit kit = long_kit();
  kit.screw_reach_max_m = 0.05;
  const SetupSheet sheet = set_up(log, plan_of(log, {0.10, 3}), kit, kTolerance);
  int packers = 0;
  for (const Support& support : sheet.supports) {
    CAPTURE(support.x_m);
    const double radius = 0.16 + 0.06 * support.x_m / kLength;
    const double gap_m = 0.10 + sheet.rail_height_m - bark_z(radius, 0.06);
    CHECK_THAT(support.left.gap_m, WithinAbs(gap_m, 2 * kPolygon_m));
    const double lack_m = gap_m + kit.screw_bite_m - kit.screw_reach_max_m;
    const double excess_m = kit.screw_reach_min_m - kit.screw_bite_m - gap_m;
    if (lack_m > kPolygon_m) {
      CHECK(support.left.status == ScrewPoint::Status::packer);
      CHECK_THAT(support.left.amount_m, WithinAbs(lack_m, 2 * kPolygon_m));
      ++packers;
    } else if (excess_m > kPolygon_m) {
      CHECK(support.left.status == ScrewPoint::Status::relieve);
      CHECK_THAT(support.left.amount_m, WithinAbs(excess_m, 2 * kPolygon_m));
    } else {
      CHECK(support.left.status == ScrewPoint::Status::ok);
    }
  }
  CHECK(packers > 0);
  const auto* blocks = warning_of<BlocksNeeded>(sheet);
  REQUIRE(blocks != nullptr);
  CHECK(blocks->screws >= packers);
  CHECK(blocks->reach_m > kit.screw_reach_max_m);
}

TEST_CASE("A bump under the rail lifts it where the screws reach, else it is cut away") {
  const double bump_m = 0.03;
  const LogModel log = shaped_log(kLength, [&](double x, double theta) {
    const bool lump = std::abs(x - 1.3) < 0.06 && std::abs(theta - std::numbers::pi / 2) < 0.1;
    return kRadius + (lump ? bump_m : 0);
  });
  const double top_m = 0.12;
  const SawPlan plan = plan_of(log, {top_m, 3});
  Kit kit = long_kit();
  const SetupSheet lifted = set_up(log, plan, kit, kTolerance);
  CHECK(lifted.high_spots.empty());
  const double clear_of_bump_m = kRadius + bump_m + kBarkPlay_m + kit.bark_clearance_m - top_m;
  CHECK_THAT(lifted.rail_height_m, WithinAbs(clear_of_bump_m, kPolygon_m));

  kit.screw_reach_max_m = 0.04;  // a lifted rail would need a block under every screw
  const SetupSheet cut = set_up(log, plan, kit, kTolerance);
  REQUIRE(cut.high_spots.size() == 1);
  CHECK_THAT(cut.high_spots[0].x_m, WithinAbs(1.3, 0.061));
  CHECK_THAT(cut.high_spots[0].cut_away_m, WithinAbs(clear_of_bump_m - cut.rail_height_m, kPolygon_m));
  for (const Support& support : cut.supports) {
    CHECK(support.left.status == ScrewPoint::Status::ok);
  }
  REQUIRE(warning_of<BarkInTheWay>(cut) != nullptr);
  CHECK(warning_of<BarkInTheWay>(cut)->places == 1);
}

TEST_CASE("A screw that stands too high for its shortest reach is relieved") {
  const LogModel log = shaped_log(kLength, [&](double x, double theta) {
    const bool ridge = std::abs(x - 0.8) < 0.06 && std::abs(theta - 1.25) < 0.12;  // under the left screw
    return kRadius + (ridge ? 0.025 : 0);
  });
  Kit kit = long_kit();
  kit.rail_width_m = 0.02;  // the ridge lies beside the rail
  kit.screw_reach_min_m = 0.025;
  kit.screw_reach_max_m = 0.045;
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  const Support& support = sheet.supports[1];
  REQUIRE_THAT(support.x_m, WithinAbs(0.8, kRounding));
  CHECK(support.left.status == ScrewPoint::Status::relieve);
  CHECK_THAT(support.left.amount_m,
             WithinAbs(kit.screw_reach_min_m - kit.screw_bite_m - support.left.gap_m, kRounding));
  CHECK(support.right.status == ScrewPoint::Status::ok);
}

TEST_CASE("A short rail is moved along the log with even overlaps") {
  const LogModel log = cylinder(kLength, kRadius);
  const Kit kit = short_kit();
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), kit, kTolerance);
  REQUIRE(sheet.rail_positions.size() == 2);
  CHECK_THAT(sheet.rail_positions[0].start_x_m, WithinAbs(0, kRounding));
  CHECK_THAT(sheet.rail_positions[1].end_x_m, WithinAbs(kLength, kRounding));
  CHECK_THAT(sheet.rail_positions[1].overlap_m, WithinAbs(0.8, kRounding));
  REQUIRE(sheet.supports.size() == 10);
  CHECK(sheet.supports[5].rail_position == 2);
  CHECK(sheet.supports[5].support == 1);
  CHECK_THAT(sheet.supports[5].x_m, WithinAbs(1.7, kRounding));
}

TEST_CASE("Supports beside the log bear nothing and are no fault") {
  const LogModel log = cylinder(2.0, kRadius);
  const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3}), long_kit(), kTolerance);
  int bearing = 0;
  for (const Support& support : sheet.supports) {
    const bool on_log = support.x_m >= 0 && support.x_m <= 2.0;
    bearing += on_log ? 1 : 0;
    CHECK((support.left.status == ScrewPoint::Status::ok) == on_log);
    CHECK(std::isnan(support.left.gap_m) == !on_log);
  }
  CHECK(bearing == 3);
  CHECK(sheet.opening_plane == 0);
  CHECK_FALSE(sheet.opening_reason.obstacle);
}

TEST_CASE("With too little wood for the screws the opening goes deeper") {
  const LogModel log = cylinder(kLength, kRadius);
  const Kit kit = long_kit();
  const double needed_m = kit.screw_bite_m + kit.screw_to_cut_m;
  const double limit_m = bark_z(kRadius, 0.06) - needed_m;  // the highest plane that leaves enough
  const SetupSheet above = set_up(log, plan_of(log, {limit_m + 0.001, 4}), kit, kTolerance);
  CHECK(above.opening_plane == 1);
  REQUIRE(above.opening_reason.obstacle);
  CHECK(above.opening_reason.obstacle->plane == 0);
  const auto& lack = std::get<ScrewsLackWood>(above.opening_reason.obstacle->what);
  CHECK(lack.screws == 14);
  CHECK(lack.of_screws == 14);
  CHECK_THAT(lack.needed_m, WithinAbs(0.025, kRounding));
  const SetupSheet below = set_up(log, plan_of(log, {limit_m - 0.001, 4}), kit, kTolerance);
  CHECK(below.opening_plane == 0);
}

TEST_CASE("No ok screw comes nearer to the cut than the kit's limit, no rail nearer to the bark") {
  const LogModel log = shaped_log(kLength, [](double x, double theta) {
    return 0.19 + 0.01 * x + 0.012 * std::sin(7 * x) * std::cos(3 * theta) + 0.004 * std::sin(40 * x + theta);
  });
  for (const double reach_m : {0.04, 0.07, 0.15}) {
    for (const double top_m : {0.11, 0.13, 0.15, 0.17}) {
      for (const double pitch : {-0.01, 0.0, 0.012}) {
        Kit kit = short_kit();
        kit.screw_reach_max_m = reach_m;
        const SawPlan plan = plan_of(log, {top_m, 5, 0.05, pitch, 0.7});
        const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
        CAPTURE(reach_m, top_m, pitch, sheet.opening_plane);
        for (const Support& support : sheet.supports) {
          for (const ScrewPoint& screw : {support.left, support.right}) {
            if (screw.status == ScrewPoint::Status::ok) {
              const double tip_m = screw.gap_m + kit.screw_bite_m;
              CHECK(sheet.rail_height_m - tip_m >= kit.screw_to_cut_m - kRounding);
              CHECK(tip_m <= kit.screw_reach_max_m + kRounding);
              CHECK(tip_m >= kit.screw_reach_min_m - kRounding);
            }
          }
        }
        if (sheet.high_spots.empty()) {
          const double opening_m =
              top_m - static_cast<double>(sheet.opening_plane) * 0.059 * std::hypot(1, pitch);
          CHECK(highest_bark_m(log, 0.7, {sheet.rail_y_m, kit.rail_width_m / 2}, opening_m, pitch) +
                    kBarkPlay_m + kit.bark_clearance_m <=
                sheet.rail_height_m + kPolygon_m);
        }
      }
    }
  }
}

TEST_CASE("End marks are heights along the plumb line through the pith") {
  LogModel log = cylinder(kLength, kRadius);
  log.pith.small_end_m = {0.03, 0.01};
  log.pith.large_end_m = {-0.02, 0.0};
  const double roll = 0.5;
  const double top_m = 0.1;
  const SetupSheet sheet = set_up(log, plan_of(log, {top_m, 3, 0.05, 0, roll}), long_kit(), kTolerance);
  const double y = 0.03 * std::cos(roll) - 0.01 * std::sin(roll);
  const double z = 0.03 * std::sin(roll) + 0.01 * std::cos(roll);
  const EndMark& mark = sheet.small_end;
  CHECK_THAT(mark.above_pith_m, WithinAbs(top_m - z, kRounding));
  CHECK_THAT(mark.bracket_above_pith_m, WithinAbs(top_m - z + sheet.rail_height_m, kRounding));
  CHECK_THAT(mark.below_top_m, WithinAbs(bark_z(kRadius, y) - top_m, kPolygon_m));
  CHECK_THAT(mark.above_bottom_m, WithinAbs(bark_z(kRadius, y) + top_m, kPolygon_m));
  CHECK_THAT(mark.half_width_left_m, WithinAbs(bark_z(kRadius, top_m) - y, kPolygon_m));
  CHECK_THAT(mark.half_width_right_m, WithinAbs(bark_z(kRadius, top_m) + y, kPolygon_m));
  CHECK_THAT(mark.tolerance_m, WithinAbs(kTolerance.small_end_m, kRounding));
  CHECK_THAT(sheet.large_end.above_pith_m, WithinAbs(top_m + 0.02 * std::sin(roll), kRounding));
  CHECK_THAT(sheet.large_end.tolerance_m, WithinAbs(kTolerance.large_end_m, kRounding));
}

TEST_CASE("The marks are made where a slanting end face is") {
  LogModel log = cylinder(kLength, kRadius);
  const double lean = 0.2;  // the face's top stands out by this much a metre of height
  log.large_end = {Eigen::Vector3d(kLength + 0.05, 0, 0), Eigen::Vector3d(1, 0, -lean).normalized(), true};
  const double pitch = 0.03;
  const double top_m = 0.1;
  const SetupSheet sheet = set_up(log, plan_of(log, {top_m, 2, 0.05, pitch}), long_kit(), kTolerance);
  const double at_station_m = top_m + pitch * kLength / 2;
  const double face_x_m = kLength + 0.05 + lean * at_station_m;
  CHECK_THAT(sheet.large_end.above_pith_m, WithinAbs(top_m + pitch * (face_x_m - kLength / 2), kRounding));
  log.large_end.seen = false;
  const SetupSheet unseen = set_up(log, plan_of(log, {top_m, 2, 0.05, pitch}), long_kit(), kTolerance);
  CHECK_THAT(unseen.large_end.above_pith_m, WithinAbs(at_station_m, kRounding));
}

TEST_CASE("The way of the top mark is the arc of the roll, with its direction") {
  const LogModel log = cylinder(kLength, kRadius);
  for (const double roll : {-2.5, -0.4, 0.0, 0.3, 1.5}) {
    CAPTURE(roll);
    const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 3, 0.05, 0, roll}), long_kit(), kTolerance);
    CHECK_THAT(sheet.bark_walk_m, WithinAbs(kRadius * roll, 1e-4));
    CHECK_THAT(sheet.roll_rad, WithinAbs(roll, kRounding));
  }
}

TEST_CASE("The rail sags as the beam formulas say, and too much is warned of") {
  const LogModel log = cylinder(kLength, kRadius);
  Kit kit = long_kit();
  const SawPlan plan = plan_of(log, {0.12, 3});
  const double w = kit.rail_weight_kg * 9.80665 / kit.rail_length_m;
  const double load = kit.saw_weight_kg * 9.80665;
  const auto sag = [&](double span) {
    return (5 * w * std::pow(span, 4) / 384 + load * std::pow(span, 3) / 48) / kit.rail_ei_n_m2;
  };
  const SetupSheet stiff = set_up(log, plan, kit, kTolerance);
  CHECK_THAT(stiff.rail_sag_m, WithinRel(sag(0.6), 1e-9));
  CHECK(warning_of<RailSags>(stiff) == nullptr);
  kit.support_positions_m = {0.4, 4.0};
  kit.rail_ei_n_m2 = 20000;
  const SetupSheet soft = set_up(log, plan, kit, kTolerance);
  CHECK_THAT(soft.rail_sag_m, WithinRel(sag(3.6), 1e-9));
  const auto* sags = warning_of<RailSags>(soft);
  REQUIRE(sags != nullptr);
  CHECK(sags->sag_m == soft.rail_sag_m);
  CHECK(sags->most_m == kit.most_sag_m);
  CHECK(sags->span_m == soft.longest_span_m);
}

TEST_CASE("What would stop the person is warned of") {
  LogModel log = cylinder(kLength, kRadius);
  const SawPlan plan = plan_of(log, {0.12, 4});
  Kit kit = long_kit();
  CHECK(warning_of<PithAssumed>(set_up(log, plan, kit, kTolerance)) == nullptr);
  CHECK(warning_of<BarTooShort>(set_up(log, plan, kit, kTolerance)) == nullptr);

  SECTION("bar") {
    kit.saw_usable_bar_m = 0.35;
    const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
    CHECK(sheet.opening_plane == 0);  // 2 sqrt(0.2^2 - 0.12^2) = 320 mm
    const auto* bar = warning_of<BarTooShort>(sheet);
    REQUIRE(bar != nullptr);
    CHECK(bar->cuts == 3);
    CHECK(bar->bar_m == 0.35);
    const auto widest = std::max_element(sheet.cuts.begin(), sheet.cuts.end(),
                                         [](const Cut& a, const Cut& b) { return a.width_m < b.width_m; });
    CHECK(bar->widest_cut == widest->order);
    CHECK(bar->width_m == widest->width_m);
    kit.saw_usable_bar_m = 0.3;
    const SetupSheet none = set_up(log, plan, kit, kTolerance);
    CHECK_FALSE(none.opening_works);
    const auto* fails = warning_of<OpeningFails>(none);
    REQUIRE(fails != nullptr);
    CHECK(fails->obstacle.plane == none.opening_plane);
    CHECK_THAT(std::get<CutTooWide>(fails->obstacle.what).width_m, WithinAbs(0.32, 1e-4));
    CHECK(std::get<CutTooWide>(fails->obstacle.what).bar_m == 0.3);
  }
  SECTION("too few supports") {
    kit.support_positions_m = {0.1, 0.3};  // the first one stands beside the log
    const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
    const auto* few = warning_of<TooFewSupports>(sheet);
    REQUIRE(few != nullptr);
    CHECK(few->rail_position == 1);
    CHECK(few->supports == 1);
    CHECK(sheet.rail_sag_m == 0);
  }
  SECTION("saw depth") {
    kit.saw_depth_max_m = 0.06;  // 10 mm over any plane: not over the crown with wood for a screw below
    const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
    REQUIRE(sheet.opening_reason.obstacle);
    CHECK(std::holds_alternative<NoRoomForRail>(sheet.opening_reason.obstacle->what));
    kit = long_kit();
    kit.saw_depth_min_m = 0.12;
    const SetupSheet high = set_up(log, plan, kit, kTolerance);
    CHECK(high.rail_height_m + kit.rail_height_m >= 0.12);
    const auto* depth = warning_of<DepthOutOfRange>(high);
    REQUIRE(depth != nullptr);
    CHECK(depth->least_m == 0.12);
    CHECK(depth->depth_m < depth->least_m);
    CHECK(depth->depth_m == high.cuts.at(static_cast<std::size_t>(depth->cut) - 1).saw_depth_m);
  }
  SECTION("unseen bark") {
    for (Station& station : log.stations) {
      station.seen.assign(kAngles, 0);
    }
    const SetupSheet sheet = set_up(log, plan, kit, kTolerance);
    REQUIRE(warning_of<BarkUnseen>(sheet) != nullptr);
    CHECK(warning_of<BarkUnseen>(sheet)->screws == 14);
  }
  SECTION("pith, knot, weight, kerf, species") {
    log.pith.source = Pith::Source::assumed_middle;
    log.knots.push_back({1.2, std::numbers::pi / 2 - 0.3, 0.04, 0.06});
    log.knots.push_back({2.2, -std::numbers::pi / 2, 0.04, 0.06});
    log.density_kg_m3 = 0;
    kit.kerf_m = 0.008;
    const SetupSheet sheet = set_up(log, plan_of(log, {0.12, 4, 0.05, 0, 0.3}), kit, kTolerance);
    CHECK(warning_of<PithAssumed>(sheet) != nullptr);
    CHECK(warning_of<SpeciesUnknown>(sheet) != nullptr);
    const auto* knots = warning_of<KnotsAtRail>(sheet);
    REQUIRE(knots != nullptr);
    REQUIRE(knots->knots.size() == 1);  // not the one on the underside
    CHECK(knots->knots[0].x_m == 1.2);
    const auto* kerf = warning_of<KerfDiffers>(sheet);
    REQUIRE(kerf != nullptr);
    CHECK(kerf->plan_m == 0.009);
    CHECK(kerf->kit_m == 0.008);
    const auto* heavy = warning_of<HeavyPiece>(sheet);
    REQUIRE(heavy != nullptr);
    CHECK(heavy->weight_kg > heavy->people * kLift_kg);
    CHECK(heavy->weight_kg == sheet.cuts.at(static_cast<std::size_t>(heavy->cut) - 1).piece_weight_kg);
    REQUIRE(warning_of<HeavyLog>(sheet) != nullptr);
    CHECK(warning_of<HeavyLog>(sheet)->weight_kg == sheet.log_weight_kg);
  }
}

TEST_CASE("A setup refuses what it cannot set up") {
  const LogModel log = cylinder(kLength, kRadius);
  SawPlan plan = plan_of(log, {0.12, 3});
  Kit broken = long_kit();
  broken.saw_depth_max_m = 0;
  CHECK_THROWS_AS(set_up(log, plan, broken, kTolerance), BadUse);
  CHECK_THROWS_AS(set_up(LogModel{}, plan, long_kit(), kTolerance), BadUse);
  SawPlan tilted = plan;
  tilted.orientation.roll_rad = 0.1;  // its planes were made for no roll
  CHECK_THROWS_AS(set_up(log, tilted, long_kit(), kTolerance), BadUse);
  SawPlan empty = plan;
  empty.planes.clear();
  CHECK_THROWS_AS(set_up(log, empty, long_kit(), kTolerance), BadUse);
  plan.status = SawPlan::Status::no_board_fits;
  CHECK_THROWS_AS(set_up(log, plan, long_kit(), kTolerance), BadUse);
}
