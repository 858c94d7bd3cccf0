#include "scan/model/log_model.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using std::numbers::pi;

constexpr int kAngles = 180;
constexpr double kExact = 1e-12;
constexpr double kExactShare = 1e-6;  // cone frustums between stations 25 mm apart

/// A log from its diameter along x and the line of its middle.
template <typename Diameter, typename Middle>
LogModel turned_log(double length_m, int stations, Diameter diameter_m, Middle middle_m) {
  LogModel log;
  for (int i = 0; i < stations; ++i) {
    Station s;
    s.x_m = length_m * i / (stations - 1);
    s.centre_m = middle_m(s.x_m);
    s.bark_radius_m = Eigen::VectorXd::Constant(kAngles, diameter_m(s.x_m) / 2);
    s.wood_radius_m = s.bark_radius_m.array() - 0.01;
    s.bark_sigma_m = Eigen::VectorXd::Constant(kAngles, 0.002);
    s.wood_sigma_m = Eigen::VectorXd::Constant(kAngles, 0.003);
    s.seen.assign(kAngles, 1);
    log.stations.push_back(s);
  }
  return log;
}

Eigen::Vector2d straight(double /*x_m*/) {
  return Eigen::Vector2d::Zero();
}

LogModel cylinder() {
  return turned_log(
      3, 31, [](double) { return 0.3; }, straight);
}

}  // namespace

TEST_CASE("each broken invariant of a log model is named", "[log_model]") {
  LogModel log = cylinder();
  REQUIRE(log.find_error().empty());
  const auto names = [&](const char* part) { return log.find_error().find(part) != std::string::npos; };
  Station& s = log.stations[7];
  SECTION("too few stations") {
    log.stations.resize(1);
    CHECK(names("fewer than two stations"));
    log.stations.clear();
    CHECK(names("fewer than two stations"));
  }
  SECTION("too few angles") {
    for (Station& each : log.stations) {
      each.bark_radius_m.conservativeResize(7);
    }
    CHECK(names("fewer than 8 angles"));
  }
  SECTION("first station off zero") {
    log.stations.front().x_m = 0.001;
    CHECK(names("not at x = 0"));
  }
  SECTION("x stands still") {
    s.x_m = log.stations[6].x_m;
    CHECK(names("station 7: its x does not ascend"));
  }
  SECTION("x is no number") {
    s.x_m = std::nan("");
    CHECK(names("station 7: its x does not ascend"));
  }
  SECTION("arrays of unequal length") {
    const int which = GENERATE(0, 1, 2, 3, 4);
    if (which == 4) {
      s.seen.pop_back();
    } else {
      Eigen::VectorXd* const fields[] = {&s.bark_radius_m, &s.wood_radius_m, &s.bark_sigma_m,
                                         &s.wood_sigma_m};
      fields[which]->conservativeResize(kAngles - 1);
    }
    CHECK(names("station 7: its arrays differ in length"));
  }
  SECTION("not finite") {
    const int which = GENERATE(0, 1, 2, 3, 4);
    double* const numbers[] = {&s.centre_m[1], &s.bark_radius_m[3], &s.wood_radius_m[3], &s.bark_sigma_m[3],
                               &s.wood_sigma_m[3]};
    *numbers[which] = GENERATE(std::numeric_limits<double>::infinity(), std::nan(""));
    CHECK(names("station 7: it holds a number that is not finite"));
  }
  SECTION("no wood") {
    s.wood_radius_m[4] = 0;
    CHECK(names("station 7: a wood radius is not positive"));
  }
  SECTION("wood outside the bark") {
    s.wood_radius_m[4] = s.bark_radius_m[4] + 1e-6;
    CHECK(names("station 7: the wood surface lies outside the bark surface"));
  }
  SECTION("negative uncertainty") {
    (GENERATE(true, false) ? s.bark_sigma_m : s.wood_sigma_m)[9] = -1e-9;
    CHECK(names("station 7: an uncertainty is negative"));
  }
}

TEST_CASE("a section between two stations is their linear mixture", "[log_model]") {
  LogModel log = turned_log(
      2, 3, [](double x) { return 0.3 + 0.02 * x; },
      [](double x) { return Eigen::Vector2d(0.01 * x, x * x); });
  log.stations[1].seen.assign(kAngles, 0);
  log.stations[1].wood_sigma_m.setConstant(0.007);
  const Station s = station_at(log, 0.75);
  CHECK(s.x_m == 0.75);
  CHECK((s.centre_m - Eigen::Vector2d(0.0075, 0.75)).norm() < kExact);  // of (0, 0) and (0.01, 1)
  CHECK_THAT(s.bark_radius_m[11], WithinAbs(0.1575, kExact));
  CHECK_THAT(s.wood_radius_m[11], WithinAbs(0.1475, kExact));
  CHECK_THAT(s.bark_sigma_m[11], WithinAbs(0.002, kExact));
  CHECK_THAT(s.wood_sigma_m[11], WithinAbs(0.25 * 0.003 + 0.75 * 0.007, kExact));
  CHECK(s.seen[11] == 0);  // as the nearer station
  CHECK(station_at(log, 0.25).seen[11] == 1);
  CHECK(station_at(log, 1).centre_m.y() == 1);  // on a station
  CHECK(station_at(log, -5).x_m == 0);          // clamped
  CHECK(station_at(log, 9).x_m == log.stations.back().x_m);
}

TEST_CASE("the planning outline keeps its distance from the wood surface", "[log_model]") {
  Station s = cylinder().stations[3];
  s.centre_m = {0.02, -0.05};
  s.wood_sigma_m[45] = 0.2;  // as good as unknown
  const Eigen::MatrixX2d outline = planning_outline_m(s, 2);
  REQUIRE(outline.rows() == kAngles);
  for (Eigen::Index k = 0; k < kAngles; ++k) {
    const Eigen::Vector2d d = outline.row(k).transpose() - s.centre_m;
    const double theta = 2 * pi * static_cast<double>(k) / kAngles;
    REQUIRE_THAT(d.norm(), WithinAbs(k == 45 ? 0.1 * 0.14 : 0.14 - 2 * 0.003, kExact));
    REQUIRE_THAT(std::remainder(std::atan2(d.y(), d.x()) - theta, 2 * pi), WithinAbs(0, 1e-9));
  }
  const Eigen::MatrixX2d bark = bark_outline_m(s);
  CHECK((bark.row(45).transpose() - Eigen::Vector2d(0.02, 0.10)).norm() < kExact);  // straight up
  CHECK((bark.row(0).transpose() - Eigen::Vector2d(0.17, -0.05)).norm() < kExact);  // to the left
}

TEST_CASE("length, diameters, sweep and pith", "[log_model]") {
  LogModel log = turned_log(
      4, 161, [](double x) { return 0.28 + 0.02 * x; },
      [](double x) {
        // A bow of 50 mm on a slanting chord: the slant is no sweep.
        return Eigen::Vector2d(0.05 * x * (4 - x) / 4 + 0.3 * x, 0.1);
      });
  CHECK(log.angle_count() == kAngles);
  CHECK(log.usable_length_m() == 4);
  CHECK_THAT(log.small_end_diameter_m(), WithinRel(0.28, kExactShare));
  CHECK_THAT(log.large_end_diameter_m(), WithinRel(0.36, kExactShare));
  CHECK_THAT(log.bark_diameter_m(80), WithinRel(0.32, kExactShare));
  CHECK_THAT(log.sweep_m(), WithinAbs(0.05, 1e-9));
  log.pith.small_end_m = {0.01, 0};
  log.pith.large_end_m = {0.03, -0.04};
  CHECK((log.pith_at(1) - Eigen::Vector2d(0.015, -0.01)).norm() < kExact);
  CHECK((log.pith_at(-1) - log.pith.small_end_m).norm() < kExact);
  CHECK((log.pith_at(7) - log.pith.large_end_m).norm() < kExact);
  const LogModel none;
  CHECK(none.angle_count() == 0);
  CHECK(none.usable_length_m() == 0);
  CHECK(none.sweep_m() == 0);
  CHECK(none.volume_m3() == 0);
  CHECK(none.seen_share() == 0);
}

// Ends of 30 and 40 cm, 4 m long. With A, a the end areas and L the length: cylinder L A; cone frustum
// L (a + sqrt(a A) + A) / 3; paraboloid L (a + A) / 2; neiloid L (a + cbrt(a^2 A) + cbrt(a A^2) + A) / 4
// (D. R. Larsen, Forest Functions, Cubic Log Volume; the values worked out from them).
TEST_CASE("volumes are those of cylinder, cone, paraboloid and neiloid", "[log_model]") {
  const auto volume_m3 = [](auto diameter_m) { return turned_log(4, 161, diameter_m, straight).volume_m3(); };
  CHECK_THAT(volume_m3([](double) { return 0.3; }), WithinRel(4 * pi * 0.0225, kExactShare));
  CHECK_THAT(volume_m3([](double x) { return 0.3 + 0.025 * x; }), WithinRel(0.387463094, kExactShare));
  CHECK_THAT(volume_m3([](double x) { return std::sqrt(0.09 + 0.0175 * x); }),
             WithinRel(0.392699082, kExactShare));
  const double a = std::pow(0.3, 2.0 / 3);
  const double b = std::pow(0.4, 2.0 / 3);
  CHECK_THAT(volume_m3([&](double x) { return std::pow(a + (b - a) * x / 4, 1.5); }),
             WithinRel(0.385712435, kExactShare));
}

TEST_CASE("the seen share counts samples", "[log_model]") {
  LogModel log = cylinder();
  CHECK(log.seen_share() == 1);
  for (int k = 0; k < kAngles / 4; ++k) {
    log.stations[5].seen[static_cast<std::size_t>(k)] = 0;
  }
  CHECK_THAT(log.seen_share(), WithinAbs(1 - 0.25 / 31, kExact));
}
