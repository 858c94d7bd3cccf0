/// The log among heavy clutter, picked by a point, forked, broken and with a limb.

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/find/isolate.hpp"
#include "scan/find/orient.hpp"
#include "scan/model/errors.hpp"
#include "tests/support/against_truth.hpp"
#include "tests/support/facts.hpp"
#include "tests/support/isolate_errors.hpp"

namespace {

using namespace flitchwise;
using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;
using simulate::Simulation;
using std::numbers::pi;

simulate::Scanner coarse_photo_scanner() {
  simulate::Scanner scanner = simulate::photo_scanner();
  scanner.spacing_m = 0.010;
  scanner.ground_spacing_m = 0.03;
  return scanner;
}

/// A plain log, 3 m long, 300 mm thick, on bare ground.
Simulation plain_log(std::uint64_t seed, const simulate::Scene& scene = {}) {
  simulate::LogShape shape;
  shape.length_m = 3;
  shape.bark_m = 0.01;
  shape.sweep_m = 0.03;
  simulate::Scanner scanner = coarse_photo_scanner();
  scanner.rings = {{1.5, 1.5, 40}};
  return simulate::simulate(shape, scene, scanner, seed);
}

LogCloud isolated(const Cloud& cloud, const IsolateOptions& options = {}) {
  const OrientResult oriented = orient(cloud);
  return isolate(oriented.cloud, oriented.ground, options);
}

double length_of(const LogCloud& log) {
  return (log.last_end.point_m - log.first_end.point_m).norm();
}

bool is_of_log(simulate::Label label) {
  return label == simulate::Label::bark || label == simulate::Label::end_face;
}

/// The scan with the log's own points moved in the log frame; those for which `move` gives NaN are left out.
template <typename Move>
Cloud changed(const Simulation& made, const Move& move) {
  simulate::ScanPoints points;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    const Eigen::Vector3d p = made.truth.to_log(made.scan.points_m[i]);
    const Eigen::Vector3d q = is_of_log(made.scan.labels[i]) ? move(p) : p;
    if (q.allFinite()) {
      points.points_m.push_back(made.truth.to_scan(q));
    }
  }
  return testing::cloud_of(points);
}

}  // namespace

TEST_CASE("the log is found whole in heavy clutter, and nothing but the log", "[isolate]") {
  const bool depth = GENERATE(false, true);
  const auto seed = GENERATE(61U, 62U);
  CAPTURE(depth, seed);
  simulate::SceneWishes wishes;
  wishes.heavy_clutter = true;
  const Simulation made =
      simulate::simulate_random(seed, depth ? simulate::depth_scanner() : coarse_photo_scanner(), {}, wishes);
  const OrientResult oriented = orient(testing::cloud_of(made.scan));
  const LogCloud log = isolate(oriented.cloud, oriented.ground);
  REQUIRE(log.status == LogCloud::Status::ok);
  const auto errors = testing::isolate_errors(oriented.cloud, log, made);
  CHECK(errors.right_log);
  CHECK(log.warnings.empty());
  CHECK_THAT(errors.small_end_m, WithinAbs(0, 0.012));
  CHECK_THAT(errors.large_end_m, WithinAbs(0, 0.012));
  CHECK(errors.foreign_share < 0.05);  // measured 0.01 to 0.03; bearers and floaters that graze the bark
  CHECK(errors.far_share < 0.015);
  CHECK(errors.kept_share > 0.98);
}

TEST_CASE("a point picks the log that is meant", "[isolate]") {
  const Simulation made = plain_log(71);
  Cloud twice = testing::cloud_of(made.scan);
  const std::size_t half = twice.size();
  const Eigen::Vector3d shift(0, 6, 0);
  for (std::size_t i = 0; i < half; ++i) {
    twice.points.emplace_back(twice.points[i] + shift.cast<float>());
  }
  const Eigen::Vector3d middle = made.truth.to_scan({1.5, 0, 0.15});
  CHECK(isolated(twice).rival_log);
  for (const double side : {0.0, 1.0}) {
    IsolateOptions options;
    options.near_m = middle + side * shift;
    const LogCloud log = isolated(twice, options);
    REQUIRE(log.status == LogCloud::Status::ok);
    CHECK_FALSE(log.rival_log);
    const Eigen::Vector3d found = (log.first_end.point_m + log.last_end.point_m) / 2;
    CHECK((found - middle - side * shift).head<2>().norm() < 0.3);
  }
  const LogCloud both = isolated(twice);
  const Eigen::Vector3d taken = (both.first_end.point_m + both.last_end.point_m) / 2;
  CHECK_THAT((both.rival_m - taken).head<2>().norm(), WithinAbs(6, 0.8));

  IsolateOptions nowhere;
  nowhere.near_m = middle + Eigen::Vector3d(0, 3, 0);
  const LogCloud none = isolated(twice, nowhere);
  CHECK(none.status == LogCloud::Status::no_log);
  CHECK(testing::fact_as<NoLogNear>(none.message).reach_m == 0.5);
}

TEST_CASE("a forked log is cut back before the fork", "[isolate]") {
  simulate::Scene scene;
  simulate::Fork fork;
  fork.spread_rad = GENERATE(0.5, 0.9);
  fork.length_m = 1.2;
  scene.fork = fork;
  CAPTURE(fork.spread_rad);
  const Simulation made = plain_log(72, scene);
  const LogCloud log = isolated(testing::cloud_of(made.scan));
  REQUIRE(log.status == LogCloud::Status::ok);
  const auto& cut = testing::fact_as<CutBack>(log.warnings);
  CHECK(cut.flaw == Flaw::fork);
  CHECK_FALSE(cut.from_small_end);
  CHECK_THAT(cut.from_end_m, WithinAbs(length_of(log), 1e-9));
  // The stems part at the true small end; the plan keeps clear of it but does not waste half a metre.
  CHECK(length_of(log) < made.truth.length_m - 0.08);
  CHECK(length_of(log) > made.truth.length_m - 0.6);
}

TEST_CASE("a broken log is cut back to its longer piece", "[isolate]") {
  const Simulation made = plain_log(73);
  constexpr double kBreak_m = 1.9;
  SECTION("with a gap between the pieces") {
    const LogCloud log = isolated(changed(made, [](Eigen::Vector3d p) {
      return std::abs(p.x() - kBreak_m) < 0.08 ? Eigen::Vector3d(Eigen::Vector3d::Constant(std::nan(""))) : p;
    }));
    REQUIRE(log.status == LogCloud::Status::ok);
    const auto& cut = testing::fact_as<CutBack>(log.warnings);
    CHECK(cut.flaw == Flaw::gap);
    CHECK(cut.from_small_end);
    CHECK(length_of(log) < kBreak_m - 0.1);
    CHECK(length_of(log) > kBreak_m - 0.5);
  }
  SECTION("with a kink") {
    constexpr double kTurn_rad = 20 * pi / 180;
    const LogCloud log = isolated(changed(made, [](Eigen::Vector3d p) {
      if (p.x() > kBreak_m) {
        const double along = p.x() - kBreak_m;
        p.x() = kBreak_m + std::cos(kTurn_rad) * along - std::sin(kTurn_rad) * p.y();
        p.y() = std::sin(kTurn_rad) * along + std::cos(kTurn_rad) * p.y();
      }
      return p;
    }));
    REQUIRE(log.status == LogCloud::Status::ok);
    const auto& cut = testing::fact_as<CutBack>(log.warnings);
    CHECK(cut.flaw == Flaw::kink);
    CHECK(cut.from_small_end);
    CHECK(length_of(log) < kBreak_m - 0.05);
    CHECK(length_of(log) > kBreak_m - 0.6);
  }
}

TEST_CASE("a limb to the side neither ends the log nor bends it", "[isolate]") {
  const Simulation made = plain_log(74);
  simulate::ScanPoints points = made.scan;
  const Eigen::Vector3d way = Eigen::Vector3d(-0.5, 0.7, 0.5).normalized();
  const Eigen::Vector3d u = way.unitOrthogonal();
  const Eigen::Vector3d v = way.cross(u);
  for (double along = 0.16; along < 1; along += 0.01) {
    for (int k = 0; k < 32; ++k) {
      const double theta = 2 * pi * k / 32;
      points.points_m.push_back(made.truth.to_scan(Eigen::Vector3d(1.4, 0, 0) + along * way +
                                                   0.05 * (std::cos(theta) * u + std::sin(theta) * v)));
    }
  }
  const LogCloud log = isolated(testing::cloud_of(points));
  REQUIRE(log.status == LogCloud::Status::ok);
  CHECK(log.warnings.empty());
  CHECK_THAT(length_of(log), WithinAbs(made.truth.length_m, 0.01));
  for (const TrackPoint& t : log.track) {
    const Eigen::Vector3d middle = made.truth.to_log(t.centre_m);
    REQUIRE((middle.tail<2>() - made.truth.centre_at(middle.x())).norm() < 0.03);
  }
}

TEST_CASE("what stands behind a sawn end is no part of the log", "[isolate]") {
  const double apart_m = GENERATE(0.04, 0.15, 0.3);  // from the sawn face to the stump
  CAPTURE(apart_m);
  const Simulation made = plain_log(75);
  simulate::ScanPoints points = made.scan;
  constexpr double kStump_m = 0.14;  // as thick as the log, so that a circle fits its flanks and its top
  const auto add = [&](double x, double y, double z) {
    points.points_m.push_back(made.truth.to_scan(Eigen::Vector3d(x - kStump_m - apart_m, y, z)));
  };
  for (int k = 0; k < 90; ++k) {
    const double theta = 2 * pi * k / 90;
    for (double z = -0.15; z < 0.13; z += 0.01) {
      add(kStump_m * std::cos(theta), kStump_m * std::sin(theta), z);
    }
    for (double r = 0.01; r < kStump_m; r += 0.01) {
      add(r * std::cos(theta), r * std::sin(theta), 0.13);
    }
  }
  const LogCloud log = isolated(testing::cloud_of(points));
  REQUIRE(log.status == LogCloud::Status::ok);
  CHECK(log.warnings.empty());
  CHECK_FALSE(log.rival_log);
  CHECK_THAT(length_of(log), WithinAbs(made.truth.length_m, 0.012));
}

TEST_CASE("of two logs end to end one is taken whole", "[isolate]") {
  const Simulation made = plain_log(76);
  constexpr double kLonger_m = 1.8;  // the cut; a kerf and a hand's width lie open
  constexpr double kOpen_m = 0.12;
  simulate::ScanPoints points;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    const Eigen::Vector3d p = made.truth.to_log(made.scan.points_m[i]);
    const bool open = is_of_log(made.scan.labels[i]) && p.x() > kLonger_m && p.x() < kLonger_m + kOpen_m;
    if (!open) {
      points.points_m.push_back(made.scan.points_m[i]);
    }
  }
  for (const double x : {kLonger_m, kLonger_m + kOpen_m}) {
    const Eigen::Vector2d middle = made.truth.centre_at(x);
    for (double y = -0.13; y < 0.131; y += 0.01) {
      for (double z = -0.13; z < 0.131; z += 0.01) {
        if (std::hypot(y, z) < 0.13) {
          points.points_m.push_back(made.truth.to_scan({x, middle.x() + y, middle.y() + z}));
        }
      }
    }
  }
  const Cloud cloud = testing::cloud_of(points);
  const LogCloud longer = isolated(cloud);
  REQUIRE(longer.status == LogCloud::Status::ok);
  CHECK(longer.warnings.empty());
  CHECK_THAT(length_of(longer), WithinAbs(kLonger_m, 0.012));
  IsolateOptions options;
  options.near_m = made.truth.to_scan({2.5, 0, 0.15});
  const LogCloud shorter = isolated(cloud, options);
  REQUIRE(shorter.status == LogCloud::Status::ok);
  CHECK(shorter.warnings.empty());
  CHECK_THAT(length_of(shorter), WithinAbs(made.truth.length_m - kLonger_m - kOpen_m, 0.012));
}
