// The search against formulas: cylinder, cone, swept cylinder.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "solver/search/layer.hpp"
#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;

constexpr int kAngles = 720;  // the inscribed polygon lies within 2 micrometres of a 0.2 m circle
constexpr double kCircle_m = 1e-5;

struct Sizes {
  double radius_m;
  double thickness_m;
  double width_m;
  double kerf_m;
};

std::vector<Sizes> many_sizes() {
  std::vector<Sizes> all;
  for (const double radius_m : {0.10, 0.143, 0.2}) {
    for (const double thickness_m : {0.027, 0.05}) {
      for (const double width_m : {0.1, 0.15}) {
        for (const double kerf_m : {0.004, 0.0095}) {
          all.push_back({radius_m, thickness_m, width_m, kerf_m});
        }
      }
    }
  }
  return all;
}

double slab_width_m(double radius_m, double y_m) {
  return y_m < radius_m ? 2 * std::sqrt(radius_m * radius_m - y_m * y_m) : -1;
}

/// Most boards of a circle: every offset of the stack, 0.02 mm apart.
int circle_boards(const Sizes& s) {
  constexpr double kOffsetStep_m = 0.00002;
  const double spacing_m = s.thickness_m + s.kerf_m;
  int most = 0;
  for (double offset_m = 0; offset_m < spacing_m; offset_m += kOffsetStep_m) {
    int boards = 0;
    for (double low_m = offset_m - spacing_m * std::ceil(1 / spacing_m); low_m < s.radius_m;
         low_m += spacing_m) {
      const double outer_m = std::max(std::abs(low_m), std::abs(low_m + s.thickness_m));
      const double width_m = slab_width_m(s.radius_m, outer_m);
      boards += width_m > 0 ? static_cast<int>((width_m + s.kerf_m) / (s.width_m + s.kerf_m)) : 0;
    }
    most = std::max(most, boards);
  }
  return most;
}

solver::SearchOptions options_for(const Sizes& s) {
  solver::SearchOptions options;
  options.kerf_m = s.kerf_m;
  options.rip_kerf_m = s.kerf_m;
  options.sigmas = 0;
  options.time_limit_s = 300;
  return options;
}

void check_round_log(const test::LogShape& shape, const Sizes& s) {
  CAPTURE(s.radius_m, s.thickness_m, s.width_m, s.kerf_m);
  const LogModel log = test::make_log(shape, 61, kAngles);
  const solver::Target target{"", s.thickness_m, s.width_m, shape.length_m};
  const solver::SawPlan plan = solver::search(log, {target}, options_for(s));
  CHECK(static_cast<int>(plan.boards.size()) == circle_boards(s));
  CHECK(plan.proof.upper_bound >= circle_boards(s));
  CHECK(test::worst_overhang_m(log, plan) < 1e-7);
}

}  // namespace

TEST_CASE("a cylinder gives the boards of its circle") {
  for (const Sizes& s : many_sizes()) {
    test::LogShape shape;
    shape.length_m = 3;
    shape.radius_m = s.radius_m;
    check_round_log(shape, s);
  }
}

TEST_CASE("a cone gives the boards of its small end, however the planes are pitched") {
  for (const Sizes& s : many_sizes()) {
    test::LogShape shape;
    shape.length_m = 3;
    shape.radius_m = s.radius_m;
    shape.taper_m_per_m = 0.006;
    check_round_log(shape, s);
  }
}

TEST_CASE("every flitch of a cylinder and of a cone is as wide as its outer face at the small end") {
  for (const double taper : {0.0, 0.008}) {
    for (const Sizes& s : many_sizes()) {
      test::LogShape shape;
      shape.length_m = 3;
      shape.radius_m = s.radius_m;
      shape.taper_m_per_m = taper;
      const solver::Target target{"", s.thickness_m, s.width_m, shape.length_m};
      const solver::Job job = solver::make_job(test::make_log(shape, 61, kAngles), {target}, options_for(s));
      solver::RolledLog log(job, 0.3);
      for (double low_m = -s.radius_m + 0.001; low_m + s.thickness_m < s.radius_m; low_m += 0.011) {
        CAPTURE(s.radius_m, taper, low_m);
        const double outer_m = std::max(std::abs(low_m), std::abs(low_m + s.thickness_m));
        solver::Layer layer(log, {low_m, low_m + s.thickness_m, 0}, job.kinds.front(), 0);
        CHECK_THAT(layer.widest_at(0), WithinAbs(slab_width_m(s.radius_m, outer_m), 20 * kCircle_m));
      }
    }
  }
}

TEST_CASE("a swept cylinder gives the exact intersection of its sections") {
  test::LogShape shape;
  shape.length_m = 3;
  shape.radius_m = 0.15;
  shape.c_sweep_m = 0.04;
  shape.c_direction_rad = std::acos(0.0);  // bowed upwards
  const solver::Target target{"", 0.05, 0.1, shape.length_m};
  const LogModel log = test::make_log(shape, 31, kAngles);
  solver::SearchOptions options;
  options.sigmas = 0;
  const solver::Job job = solver::make_job(log, {target}, options);
  const double quarter = std::acos(0.0);
  for (double low_m = -0.1; low_m < 0.1; low_m += 0.013) {
    CAPTURE(low_m);
    const double high_m = low_m + target.thickness_m;
    // Bow in the plane of the cut's normal: each face is limited by the end's and by the middle's circle.
    double upright_m = 1;
    for (const double face_m : {low_m, high_m}) {
      for (const double middle_m : {0.0, shape.c_sweep_m}) {
        upright_m = std::min(upright_m, slab_width_m(shape.radius_m, std::abs(face_m - middle_m)));
      }
    }
    solver::RolledLog upright(job, 0);
    CHECK_THAT(solver::Layer(upright, {low_m, high_m, 0}, job.kinds.front(), 0).widest_at(0),
               WithinAbs(upright_m, 20 * kCircle_m));
    // Bow in the flitch's own plane: the strip loses all of the sweep, and no yaw helps.
    const double outer_m = std::max(std::abs(low_m), std::abs(high_m));
    const double lying_m = slab_width_m(shape.radius_m, outer_m) - shape.c_sweep_m;
    solver::RolledLog lying(job, quarter);
    CHECK_THAT(solver::Layer(lying, {low_m, high_m, 0}, job.kinds.front(), 0).widest_at(0),
               WithinAbs(lying_m, 20 * kCircle_m));
  }
}

TEST_CASE("a flitch of a straight log that lies askew gets the log's own yaw") {
  constexpr double kSlope = 0.02;
  test::LogShape shape;
  shape.length_m = 3;
  LogModel log = test::make_log(shape, 31, kAngles);
  for (Station& station : log.stations) {
    station.centre_m.x() = kSlope * (station.x_m - 1.5);
  }
  const solver::Target target{"", 0.05, 0.1, 2.8};
  solver::SearchOptions options;
  options.sigmas = 0;
  const solver::SawPlan plan = solver::plan_at(log, {target}, options, {0, 0, 0.12});
  REQUIRE(!plan.flitches.empty());
  for (const solver::Flitch& flitch : plan.flitches) {
    REQUIRE(flitch.yaw.size() == 1);
    CHECK_THAT(flitch.yaw[0], WithinAbs(kSlope, 0.002));
  }
}

}  // namespace flitchwise
