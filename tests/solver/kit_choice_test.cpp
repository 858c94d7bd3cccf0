// Plans for a kit: the best one where the kit can saw it, another one where it cannot, and what that costs.

#include "solver/setup/kit_choice.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "solver/setup/setup.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;

/// Its best stack wants the long axis level, where every cut is wide.
LogModel oval_log() {
  test::LogShape shape;
  shape.length_m = 3.2;
  shape.radius_m = 0.15;
  shape.ovality = 0.18;
  shape.oval_direction_rad = 0.2;
  return test::make_log(shape, 41, 120);
}

solver::Target wide_board() {
  return {"", 0.05, 0.25, 3.0};
}

double widest_cut_m(const solver::SetupSheet& sheet) {
  double widest_m = 0;
  for (const solver::Cut& cut : sheet.cuts) {
    if (cut.kind == solver::Cut::Kind::opening || cut.kind == solver::Cut::Kind::level) {
      widest_m = std::max(widest_m, cut.width_m);
    }
  }
  return widest_m;
}

/// A kit that can do anything with this log.
solver::Kit long_bar() {
  solver::Kit kit = solver::plain_kit();
  kit.saw_usable_bar_m = 1.5;
  kit.saw_depth_max_m = 0.5;
  kit.saw_depth_min_m = 0.005;
  kit.screw_spacing_m = 0.05;
  kit.screw_to_cut_m = 0.002;
  kit.screw_bite_m = 0.002;
  kit.wood_screw_bite_m = 0;
  return kit;
}

}  // namespace

TEST_CASE("a plan that the kit can saw stays as it is", "[kit_choice]") {
  const LogModel log = oval_log();
  const solver::SawPlan best = solver::search(log, {wide_board()});
  REQUIRE(solver::can_be_sawn(log, best, long_bar()));
  const solver::KitChoice choice = solver::choose_for_kit(log, best, long_bar(), 10);
  CHECK(choice.can_be_sawn);
  CHECK_FALSE(choice.costs);
  CHECK(choice.plan.orientation.roll_rad == best.orientation.roll_rad);
  CHECK(choice.plan.boards.size() == best.boards.size());
}

TEST_CASE("where the bar is too short, another stack is taken and the bar that is wanted is named",
          "[kit_choice]") {
  const LogModel log = oval_log();
  const solver::SawPlan best = solver::search(log, {wide_board()});
  solver::Kit kit = long_bar();
  const double widest_m = widest_cut_m(solver::set_up(log, best, kit, {}));
  kit.saw_usable_bar_m = widest_m - 0.01;
  REQUIRE_FALSE(solver::can_be_sawn(log, best, kit));
  const solver::KitChoice choice = solver::choose_for_kit(log, best, kit, 60);
  REQUIRE(choice.can_be_sawn);
  CHECK(solver::can_be_sawn(log, choice.plan, kit));
  CHECK(widest_cut_m(solver::set_up(log, choice.plan, kit, {})) <= kit.saw_usable_bar_m);
  CHECK_FALSE(choice.plan.boards.empty());
  CHECK(choice.plan.boards.size() <= best.boards.size());
  CHECK(choice.plan.proof.boards == static_cast<int>(choice.plan.boards.size()));
  CHECK(choice.plan.proof.upper_bound == best.proof.upper_bound);
  REQUIRE(choice.costs);
  CHECK(choice.costs->best_boards == static_cast<int>(best.boards.size()));
  CHECK(choice.costs->boards == static_cast<int>(choice.plan.boards.size()));
  // The bar that it names is enough, and one that is a step shorter is not.
  constexpr double kStep_m = 0.005;
  const double named_m = kStep_m * std::ceil(widest_m / kStep_m);
  REQUIRE(choice.costs->mend);
  CHECK(choice.costs->mend->kind == solver::KitMend::Kind::bar);
  CHECK_THAT(choice.costs->mend->length_m, WithinAbs(named_m, 1e-9));
  kit.saw_usable_bar_m = named_m;
  CHECK(solver::can_be_sawn(log, best, kit));
  kit.saw_usable_bar_m = named_m - kStep_m;
  CHECK_FALSE(solver::can_be_sawn(log, best, kit));
}

TEST_CASE("where no stack can be sawn, the best one stays and the choice says so", "[kit_choice]") {
  const LogModel log = oval_log();
  const solver::SawPlan best = solver::search(log, {wide_board()});
  solver::Kit kit = long_bar();
  kit.saw_usable_bar_m = 0.1;  // narrower than any board
  const solver::KitChoice choice = solver::choose_for_kit(log, best, kit, 60);
  CHECK_FALSE(choice.can_be_sawn);
  CHECK(choice.plan.boards.size() == best.boards.size());
  REQUIRE(choice.costs);
  CHECK(choice.costs->boards == 0);
  CHECK_THROWS_AS(solver::choose_for_kit(log, solver::SawPlan{}, kit, 1), BadUse);
}

}  // namespace flitchwise
