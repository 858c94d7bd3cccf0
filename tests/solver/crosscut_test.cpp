// Cutting a log in two first: where a bend makes it pay, and where it cannot.

#include "solver/advice/crosscut.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr int kStations = 97;
constexpr int kAngles = 90;

/// Oval, its long axis level in the first half and upright in the second: no roll suits both.
LogModel twisted(double length_m) {
  test::LogShape shape;
  shape.length_m = length_m;
  shape.radius_m = 0.12;
  shape.ovality = 0.2;
  LogModel log = test::make_log(shape, kStations, kAngles);
  shape.oval_direction_rad = std::numbers::pi / 2;
  const LogModel upright = test::make_log(shape, kStations, kAngles);
  for (std::size_t i = log.stations.size() / 2; i < log.stations.size(); ++i) {
    log.stations[i] = upright.stations[i];
  }
  return log;
}

}  // namespace

TEST_CASE("a log whose halves want different rolls gives more when it is cut in two first", "[crosscut]") {
  const LogModel log = twisted(4.8);
  const solver::Target target{"", 0.04, 0.25, 2.2};  // wider than the short axis and than a middling one
  solver::SearchOptions options;
  options.time_limit_s = 10;
  const solver::SawPlan whole = solver::search(log, {target}, options);
  const auto cut = solver::best_crosscut(log, {target}, options, {600, 10});
  REQUIRE(cut);
  CHECK(cut->complete);
  CHECK(whole.proof.upper_bound == 2);
  CHECK(cut->boards == 4);  // two layers in the long axis of each half, as the ellipse's formula says
  CHECK(std::abs(cut->cut_x_m - 2.4) < 0.2);
  REQUIRE(cut->pieces.size() == 2);
  REQUIRE(cut->plans.size() == 2);
  std::size_t boards = 0;
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(test::worst_overhang_m(cut->pieces[i], cut->plans[i]) < 1e-7);
    CHECK(cut->plans[i].proof.boards > 0);
    boards += cut->plans[i].boards.size();
  }
  CHECK(static_cast<int>(boards) == cut->boards);
  CHECK(cut->value == cut->boards);
  // Nothing of one piece reaches into the kerf.
  const double cut_m = cut->pieces[1].frame.origin_in_scan_m.x() - cut->pieces[0].frame.origin_in_scan_m.x() -
                       cut->pieces[0].usable_length_m();
  CHECK(cut_m >= options.crosscut_kerf_m - 1e-3);
}

TEST_CASE("a straight log gains nothing from a cross-cut", "[crosscut]") {
  test::LogShape shape;
  shape.length_m = 4.8;
  shape.radius_m = 0.13;
  const LogModel log = test::make_log(shape, kStations, kAngles);
  const solver::Target target{"", 0.04, 0.12, 2.2};
  const solver::SawPlan whole = solver::search(log, {target});
  const auto cut = solver::best_crosscut(log, {target}, {}, {600, 10});
  REQUIRE(cut);
  CHECK(cut->boards == static_cast<int>(whole.boards.size()));
}

TEST_CASE("a log too short for two boards cannot be cut in two first", "[crosscut]") {
  const LogModel log = twisted(4.3);
  CHECK_FALSE(solver::best_crosscut(log, {{"", 0.04, 0.12, 2.2}}, {}));
  CHECK_THROWS_AS(solver::best_crosscut(log, {{"", 0.04, 0.12, 2.2}}, {}, {0, 1}), BadUse);
  CHECK_THROWS_AS(solver::best_crosscut(log, {}, {}), BadUse);
}

TEST_CASE("a log too thin for any board has no cross-cut", "[crosscut]") {
  CHECK_FALSE(solver::best_crosscut(twisted(4.8), {{"", 0.04, 0.4, 2.2}}, {}));
}

}  // namespace flitchwise
