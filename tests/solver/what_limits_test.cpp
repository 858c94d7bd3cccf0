// What would gain a board, on round logs where a formula knows, and on invented logs by searching again.

#include "solver/advice/what_limits.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;
using Kind = solver::Change::Kind;

constexpr int kStations = 31;
constexpr int kAngles = 180;
constexpr double kHalf_mm = 0.0005;

const solver::WhatLimitsOptions kPatient{300, 0, 0};

LogModel cylinder(double radius_m, double sigma_m = 0) {
  test::LogShape shape;
  shape.length_m = 3;
  shape.radius_m = radius_m;
  shape.wood_sigma_m = sigma_m;
  return test::make_log(shape, kStations, kAngles);
}

const solver::Change* find(const solver::WhatLimits& limits, Kind kind) {
  const auto at = std::find_if(limits.changes.begin(), limits.changes.end(),
                               [&](const solver::Change& c) { return c.kind == kind; });
  return at == limits.changes.end() ? nullptr : &*at;
}

/// Radius of the circle round one board w x t, and round two of them side by side or one over the other.
double one_m(double w, double t) {
  return std::hypot(w, t) / 2;
}

}  // namespace

TEST_CASE("a cylinder just too thin for two boards names what is missing", "[what_limits]") {
  // Two squares of 100 mm, one over the other with a kerf of 10 mm, need a radius of hypot(100, 210) / 2.
  const double needed_m = one_m(0.1, 0.21);
  constexpr double kShort_m = 0.004;
  const LogModel log = cylinder(needed_m - kShort_m);
  const solver::Target target{"", 0.1, 0.1, 3.0};
  solver::SearchOptions options;
  options.kerf_m = options.rip_kerf_m = 0.01;
  options.sigmas = 0;
  options.as_it_lies = true;
  const solver::SawPlan plan = solver::search(log, {target}, options);
  REQUIRE(plan.boards.size() == 1);
  const solver::WhatLimits limits = solver::what_limits(log, plan, kPatient);
  CHECK(limits.complete);

  REQUIRE(limits.next_board);
  CHECK_THAT(limits.next_board->larger_m, WithinAbs(kShort_m, kHalf_mm + 1e-9));
  CHECK_THAT(limits.next_board->missing_m, WithinAbs(kShort_m, 2 * kHalf_mm));
  CHECK(limits.next_board->seen);

  // Thinner or narrower boards: a radius r holds two of t x w with a kerf k if hypot(w, 2 t + k) <= 2 r.
  const double r = needed_m - kShort_m;
  const solver::Change* thickness = find(limits, Kind::thickness);
  REQUIRE(thickness != nullptr);
  const double thinnest_m = (std::sqrt(4 * r * r - 0.1 * 0.1) - 0.01) / 2;
  CHECK_THAT(thickness->to, WithinAbs(std::floor(thinnest_m * 1000) / 1000, 1e-6));
  CHECK(thickness->from == 0.1);
  CHECK(thickness->boards_gained == 1);
  CHECK(thickness->boards == 2);

  // Side by side, two of w x t with a kerf k need hypot(2 w + k, t) <= 2 r: by symmetry the same figure.
  const solver::Change* width = find(limits, Kind::width);
  REQUIRE(width != nullptr);
  CHECK_THAT(width->to, WithinAbs(thickness->to, 1e-6));
  // A cylinder does not care for its length or roll, and its surface is known: none of them gains.
  CHECK(find(limits, Kind::length) == nullptr);
  CHECK(find(limits, Kind::roll) == nullptr);
  CHECK(find(limits, Kind::surface) == nullptr);
}

TEST_CASE("a kerf that would gain is found to half a millimetre", "[what_limits]") {
  const double needed_m = one_m(0.1, 0.21);
  const double r = needed_m - 0.0011;
  solver::SearchOptions options;
  options.kerf_m = options.rip_kerf_m = 0.01;
  options.sigmas = 0;
  const LogModel log = cylinder(r);
  const solver::SawPlan plan = solver::search(log, {{"", 0.1, 0.1, 3.0}}, options);
  REQUIRE(plan.boards.size() == 1);
  const solver::WhatLimits limits = solver::what_limits(log, plan, kPatient);
  const solver::Change* kerf = find(limits, Kind::kerf);
  REQUIRE(kerf != nullptr);
  const double widest_m = std::sqrt(4 * r * r - 0.1 * 0.1) - 0.2;
  CHECK(kerf->to <= widest_m);
  CHECK(kerf->to > widest_m - kHalf_mm);
  CHECK(kerf->from == 0.01);
}

TEST_CASE("an oval log that may not be rolled says what rolling would gain", "[what_limits]") {
  test::LogShape shape;
  shape.length_m = 3;
  shape.radius_m = 0.13;
  shape.ovality = 0.15;
  shape.oval_direction_rad = 0.9;  // the long axis lies askew
  const LogModel log = test::make_log(shape, kStations, kAngles);
  const solver::Target target{"", 0.05, 0.2, 3.0};
  solver::SearchOptions options;
  options.as_it_lies = true;
  const solver::SawPlan plan = solver::search(log, {target}, options);
  options.as_it_lies = false;
  const solver::SawPlan rolled = solver::search(log, {target}, options);
  REQUIRE(plan.status == solver::SawPlan::Status::ok);
  REQUIRE(rolled.boards.size() > plan.boards.size());
  const solver::WhatLimits limits = solver::what_limits(log, plan, kPatient);
  const solver::Change* roll = find(limits, Kind::roll);
  REQUIRE(roll != nullptr);
  CHECK(roll->boards == static_cast<int>(rolled.boards.size()));
  CHECK(roll->boards_gained == static_cast<int>(rolled.boards.size() - plan.boards.size()));
}

TEST_CASE("where the wood is guessed with care, knowing it better is one of the changes", "[what_limits]") {
  const double needed_m = one_m(0.1, 0.21);
  const LogModel log = cylinder(needed_m + 0.005, 0.004);
  solver::SearchOptions options;
  options.kerf_m = options.rip_kerf_m = 0.01;
  const solver::SawPlan plan = solver::search(log, {{"", 0.1, 0.1, 3.0}}, options);
  REQUIRE(plan.boards.size() == 1);
  const solver::WhatLimits limits = solver::what_limits(log, plan, kPatient);
  const solver::Change* surface = find(limits, Kind::surface);
  REQUIRE(surface != nullptr);
  CHECK(surface->from == 2);
  CHECK(surface->to == 0);
  CHECK(surface->boards_gained == 1);
  const solver::Change* confidence = find(limits, Kind::confidence);  // 1.25 sigma of 4 mm are left
  REQUIRE(confidence != nullptr);
  CHECK(confidence->from == 2);
  CHECK(confidence->to == 1);
  CHECK(confidence->boards_gained == 1);
  REQUIRE(limits.next_board);
  CHECK_THAT(limits.next_board->sigma_m, WithinAbs(0.004, 1e-9));
}

TEST_CASE("every change on an invented log holds when it is searched again", "[what_limits]") {
  const LogModel log = test::make_log(test::random_shape(4), kStations, 72);
  const solver::Target target{"", 0.05, 0.15, 2.8};
  solver::SearchOptions options;
  const solver::SawPlan plan = solver::search(log, {target}, options);
  REQUIRE(plan.status == solver::SawPlan::Status::ok);
  const solver::WhatLimits limits = solver::what_limits(log, plan, {300, 96});
  CHECK_FALSE(limits.changes.empty());
  for (const solver::Change& change : limits.changes) {
    CAPTURE(static_cast<int>(change.kind), change.from, change.to);
    solver::Target other = target;
    solver::SearchOptions asked = options;
    switch (change.kind) {
      case Kind::kerf:
        asked.kerf_m = asked.rip_kerf_m = change.to;
        break;
      case Kind::width:
        other.width_m = change.to;
        break;
      case Kind::thickness:
        other.thickness_m = change.to;
        break;
      case Kind::length:
        other.length_m = change.to;
        break;
      case Kind::confidence:
      case Kind::surface:
        asked.sigmas = change.to;
        break;
      case Kind::roll:
        FAIL("the log may be rolled already");
    }
    const solver::SawPlan again = solver::search(log, {other}, asked);
    CHECK(static_cast<int>(again.boards.size()) >= change.boards);
    CHECK(change.boards == static_cast<int>(plan.boards.size()) + change.boards_gained);
    CHECK(change.value_gained > 0);
  }
}

TEST_CASE("what limits a plan is the same with one thread and with two, and ends by its work",
          "[what_limits]") {
  const LogModel log = test::make_log(test::random_shape(6), kStations, 72);
  solver::SearchOptions options;
  options.threads = 1;
  solver::SawPlan plan = solver::search(log, {{"", 0.05, 0.15, 2.8}}, options);
  REQUIRE(plan.status == solver::SawPlan::Status::ok);
  constexpr std::uint64_t kFew = 6000;
  const solver::WhatLimits one = solver::what_limits(log, plan, {3600, 96, kFew});
  plan.options.threads = 2;
  const solver::WhatLimits two = solver::what_limits(log, plan, {3600, 96, kFew});
  CHECK(one.complete == two.complete);
  REQUIRE(one.next_board.has_value() == two.next_board.has_value());
  if (one.next_board) {
    CHECK(one.next_board->larger_m == two.next_board->larger_m);
    CHECK(one.next_board->x_m == two.next_board->x_m);
    CHECK(one.next_board->missing_m == two.next_board->missing_m);
  }
  REQUIRE(one.changes.size() == two.changes.size());
  for (std::size_t i = 0; i < one.changes.size(); ++i) {
    CHECK(one.changes[i].kind == two.changes[i].kind);
    CHECK(one.changes[i].to == two.changes[i].to);
    CHECK(one.changes[i].boards == two.changes[i].boards);
  }
  CHECK_FALSE(solver::what_limits(log, plan, {3600, 96, 1}).complete);
}

TEST_CASE("without time, what limits a plan stays open and says so", "[what_limits]") {
  const LogModel log = cylinder(0.15);
  const solver::SawPlan plan = solver::search(log, {{"", 0.05, 0.15, 3.0}});
  const solver::WhatLimits limits = solver::what_limits(log, plan, {0, 96});
  CHECK_FALSE(limits.complete);
  CHECK(limits.changes.empty());
  CHECK_FALSE(limits.next_board);
  CHECK_THROWS_AS(solver::what_limits(log, plan, {-1, 96}), BadUse);
  CHECK_THROWS_AS(solver::what_limits(log, solver::SawPlan{}, {1, 96}), BadUse);
}

}  // namespace flitchwise
