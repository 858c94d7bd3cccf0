#include "tools/simulate/simulate.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "scan/model/errors.hpp"
#include "tools/simulate/visibility.hpp"

namespace sim = flitchwise::simulate;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double two_pi = 2 * std::numbers::pi;
constexpr double exact_m = 1e-6;  // the truth is worked out to a micrometre

sim::LogShape plain_cylinder() {
  sim::LogShape shape;
  shape.length_m = 3;
  shape.small_end_diameter_m = shape.large_end_diameter_m = 0.3;
  return shape;
}

sim::Scene bare_scene() {
  sim::Scene scene;
  scene.ground = false;
  scene.position_m = {1.5, -2, 0.4};
  scene.yaw_rad = 0.7;
  return scene;
}

sim::Scanner all_round(double spacing_m = 0.01) {
  sim::Scanner scanner = sim::perfect_scanner();
  scanner.full_coverage = true;
  scanner.spacing_m = spacing_m;
  return scanner;
}

// Radial errors of the points on the bark.
std::vector<double> heights_m(const sim::Simulation& made) {
  std::vector<double> heights;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    if (made.scan.labels[i] == sim::Label::bark) {
      heights.push_back(made.truth.log.bark_height_m(made.scan.points_m[i]));
    }
  }
  return heights;
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) {
    sum += value;
  }
  return sum / static_cast<double>(values.size());
}

double deviation(const std::vector<double>& values) {
  const double middle = mean(values);
  double sum = 0;
  for (const double value : values) {
    sum += (value - middle) * (value - middle);
  }
  return std::sqrt(sum / static_cast<double>(values.size()));
}

Eigen::Vector2d outline_centroid(const std::vector<double>& radii) {
  Eigen::Vector2d moment = Eigen::Vector2d::Zero();
  double area = 0;
  const std::size_t count = radii.size();
  for (std::size_t k = 0; k < count; ++k) {
    const auto corner = [&](std::size_t i) {
      const double theta = two_pi * static_cast<double>(i) / static_cast<double>(count);
      return Eigen::Vector2d(radii[i] * std::cos(theta), radii[i] * std::sin(theta));
    };
    const Eigen::Vector2d a = corner(k);
    const Eigen::Vector2d b = corner((k + 1) % count);
    const double doubled = a.x() * b.y() - a.y() * b.x();
    area += doubled / 2;
    moment += doubled / 6 * (a + b);
  }
  return moment / area;
}

}  // namespace

TEST_CASE("a cylinder without errors is the closed form", "[simulate]") {
  const sim::Simulation made = sim::simulate(plain_cylinder(), bare_scene(), all_round(), 1);
  std::size_t on_side = 0;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    const Eigen::Vector3d point = made.truth.to_log(made.scan.points_m[i]);
    if (made.scan.labels[i] == sim::Label::bark) {
      REQUIRE_THAT(point.tail<2>().norm(), WithinAbs(0.15, exact_m));
      REQUIRE((point.x() > -exact_m && point.x() < 3 + exact_m));
      ++on_side;
    } else {
      REQUIRE(made.scan.labels[i] == sim::Label::end_face);
      REQUIRE_THAT(std::min(std::abs(point.x()), std::abs(point.x() - 3)), WithinAbs(0, exact_m));
      REQUIRE(point.tail<2>().norm() < 0.15 + exact_m);
    }
  }
  // Area over spacing squared; sampling in whole cells and by chance leaves about a percent.
  CHECK_THAT(static_cast<double>(on_side), WithinRel(two_pi * 0.15 * 3 / (0.01 * 0.01), 0.02));
  CHECK_THAT(made.truth.length_m, WithinAbs(3, exact_m));
  CHECK_THAT(made.truth.usable_length_m, WithinAbs(3, exact_m));
  CHECK_THAT(made.truth.sweep_m(), WithinAbs(0, exact_m));
  CHECK(made.truth.stations.size() == 121);
  for (const sim::TruthStation& station : made.truth.stations) {
    REQUIRE_THAT(station.centre_m.norm(), WithinAbs(0, exact_m));
    REQUIRE_THAT(station.bark_radius_m.front(), WithinAbs(0.15, exact_m));
    REQUIRE_THAT(station.wood_radius_m[77], WithinAbs(0.15, exact_m));
  }
  CHECK(made.truth.seen_share() == 1);
}

TEST_CASE("taper, sweep, ovality, flare, waist and bark come out as asked", "[simulate]") {
  sim::LogShape shape = plain_cylinder();
  shape.length_m = 4;
  shape.large_end_diameter_m = 0.36;
  shape.bark_m = 0.012;
  const auto truth_of = [](const sim::LogShape& asked) {
    return sim::make_truth(sim::build_site(asked, bare_scene()), all_round(), 3);
  };
  SECTION("taper and bark") {
    const sim::Truth truth = truth_of(shape);
    CHECK_THAT(truth.bark_diameter_m(0), WithinAbs(0.3, exact_m));
    CHECK_THAT(truth.bark_diameter_m(80), WithinAbs(0.33, exact_m));
    CHECK_THAT(truth.bark_diameter_m(160), WithinAbs(0.36, exact_m));
    CHECK_THAT(truth.bark_m, WithinAbs(0.012, exact_m));
  }
  SECTION("C-shaped sweep to one side") {
    shape.sweep_m = 0.06;
    shape.sweep_direction_rad = 2;
    const sim::Truth truth = truth_of(shape);
    // Sections square to the chord; the ends are square to it too, so little is lost at them.
    CHECK_THAT(truth.sweep_m(), WithinAbs(0.06, 0.0005));
    const Eigen::Vector2d middle = truth.stations[80].centre_m;
    CHECK_THAT(std::atan2(middle.y(), middle.x()), WithinAbs(2, 0.02));
  }
  SECTION("S-shaped sweep swings both ways") {
    shape.s_sweep_m = 0.03;
    const sim::Truth truth = truth_of(shape);
    CHECK_THAT(truth.centre_at(1).x(), WithinAbs(0.03, 0.001));
    CHECK_THAT(truth.centre_at(3).x(), WithinAbs(-0.03, 0.001));
    CHECK_THAT(truth.centre_at(2).norm(), WithinAbs(0, 0.001));
  }
  SECTION("ovality and its direction") {
    shape.bark_m = 0;
    shape.ovality = 1.1;
    shape.ovality_direction_rad = 0.5 * std::numbers::pi;
    const sim::Truth truth = truth_of(shape);
    const auto& radius = truth.stations.front().bark_radius_m;
    CHECK_THAT(radius[45] / radius[0], WithinRel(1.1, 1e-6));
  }
  SECTION("flare and waist") {
    shape.flare_m = 0.1;
    shape.waist_m = 0.02;
    const sim::Truth truth = truth_of(shape);
    CHECK_THAT(truth.bark_diameter_m(160), WithinAbs(0.46, 0.0001));
    // Waist at 0.4 of the length, where the flare has all but died out.
    CHECK_THAT(truth.bark_diameter_m(64), WithinAbs(0.324 - 0.02, 0.0005));
  }
}

TEST_CASE("the truth agrees with the exact surfaces and its centre is the centroid", "[simulate]") {
  const std::uint64_t seed = GENERATE(as<std::uint64_t>{}, 11, 12, 13);
  INFO("seed " << seed);
  sim::LogWishes wishes;
  wishes.hardness = 1;
  wishes.knots = wishes.stubs = 0;
  const sim::LogShape shape = sim::random_log(seed, wishes);
  const sim::Scene scene = sim::random_scene(seed, shape.length_m);
  const sim::Truth truth =
      sim::make_truth(sim::build_site(shape, scene), sim::perfect_scanner(), seed, {0.2, 360, false});
  for (const sim::TruthStation& station : truth.stations) {
    REQUIRE_THAT(outline_centroid(station.wood_radius_m).norm(), WithinAbs(0, 2e-5));
    // The bark is a little thicker on one side, so its middle is off by no more than that.
    REQUIRE_THAT(outline_centroid(station.bark_radius_m).norm(), WithinAbs(0, 0.004));
    for (std::size_t k = 0; k < 360; k += 7) {
      const double theta = two_pi * static_cast<double>(k) / 360;
      const Eigen::Vector2d way(std::cos(theta), std::sin(theta));
      const Eigen::Vector2d bark = station.centre_m + station.bark_radius_m[k] * way;
      const Eigen::Vector2d wood = station.centre_m + station.wood_radius_m[k] * way;
      REQUIRE_THAT(truth.log.bark_height_m(truth.to_scan({station.x_m, bark.x(), bark.y()})),
                   WithinAbs(0, exact_m));
      const Eigen::Vector3d on_wood = truth.to_scan({station.x_m, wood.x(), wood.y()});
      // At the first and the last station the end cuts are nearer than the surface.
      REQUIRE(std::abs(truth.wood_depth_m(on_wood)) < exact_m);
      REQUIRE(station.wood_radius_m[k] <= station.bark_radius_m[k]);
    }
  }
  // The chord runs through the centreline at both ends, x points to the large end, z is upward.
  CHECK_THAT(truth.small_end.point_m.tail<2>().norm(), WithinAbs(0, exact_m));
  CHECK_THAT(truth.large_end.point_m.tail<2>().norm(), WithinAbs(0, exact_m));
  CHECK(truth.small_end.normal.x() < -0.9);
  CHECK(truth.large_end.normal.x() > 0.9);
  CHECK(truth.small_end.point_m.x() < 0);
  CHECK(truth.large_end.point_m.x() > truth.usable_length_m);
  CHECK(truth.scan_from_log.col(2).z() > 0.9);
  CHECK_THAT(truth.scan_from_log.determinant(), WithinAbs(1, 1e-12));
}

TEST_CASE("the first and last sections are the innermost full ones", "[simulate]") {
  sim::LogShape shape = plain_cylinder();
  shape.small_end_tilt_rad = 0.1;
  shape.large_end_tilt_rad = 0.2;
  shape.large_end_tilt_direction_rad = 1;
  const sim::Truth truth = sim::make_truth(sim::build_site(shape, bare_scene()), all_round(), 1);
  CHECK_THAT(truth.length_m, WithinAbs(3, exact_m));
  CHECK_THAT(truth.small_end.point_m.x(), WithinAbs(-0.15 * std::tan(0.1), 1e-5));
  CHECK_THAT(truth.usable_length_m, WithinAbs(3 - 0.15 * std::tan(0.1) - 0.15 * std::tan(0.2), 1e-5));
  CHECK_THAT(std::acos(-truth.small_end.normal.x()), WithinAbs(0.1, 1e-9));
  CHECK_THAT(std::acos(truth.large_end.normal.x()), WithinAbs(0.2, 1e-9));
}

TEST_CASE("the underside and what bearers hide give no points, and every point has a clear view",
          "[simulate]") {
  const std::uint64_t seed = GENERATE(as<std::uint64_t>{}, 21, 22);
  INFO("seed " << seed);
  sim::Scanner scanner = sim::with_random_walk(sim::perfect_scanner(), seed);
  scanner.spacing_m = 0.03;
  scanner.ground_spacing_m = 0.05;
  const sim::LogShape shape = sim::random_log(seed);
  const sim::Site site = sim::build_site(shape, sim::random_scene(seed, shape.length_m));
  const sim::ScanPoints scan = sim::take_scan(site, scanner, seed);
  const std::vector<Eigen::Vector3d> cameras = sim::Visibility(site, scanner, seed).cameras_m();
  // By small steps along the straight line, on the exact surface; sunk deeper than its ridges are high.
  const auto clear = [&](const Eigen::Vector3d& point, const Eigen::Vector3d& camera) {
    const Eigen::Vector3d way = (camera - point).normalized();
    for (int i = 4; i < 300; ++i) {
      const Eigen::Vector3d at = point + 0.005 * i * way;
      if ((site.log.inside_bark(at) && site.log.bark_height_m(at) < -0.008) ||
          std::any_of(site.things.begin(), site.things.end(),
                      [&](const sim::Thing& thing) { return sim::holds(thing.solid, at); })) {
        return false;
      }
    }
    return true;
  };
  for (std::size_t i = 0; i < scan.points_m.size(); i += 9) {
    INFO("point " << scan.points_m[i].transpose());
    REQUIRE(std::any_of(cameras.begin(), cameras.end(),
                        [&](const Eigen::Vector3d& camera) { return clear(scan.points_m[i], camera); }));
  }
  const sim::Truth truth = sim::make_truth(site, scanner, seed);
  CHECK(truth.seen_share() > 0.5);
  CHECK(truth.seen_share() < 0.85);
  for (const sim::TruthStation& station : truth.stations) {
    REQUIRE(station.seen[45] == 1);   // the top
    REQUIRE(station.seen[135] == 0);  // the bottom
  }
}

TEST_CASE("the log rests on its bearers", "[simulate]") {
  const std::uint64_t seed = GENERATE(as<std::uint64_t>{}, 31, 32, 33, 34);
  INFO("seed " << seed);
  const sim::LogShape shape = sim::random_log(seed);
  const sim::Site site = sim::build_site(shape, sim::random_scene(seed, shape.length_m, {{}, 0, 2, true}));
  const sim::LogSurface& surface = site.log.surface;
  for (std::size_t i = 0; i < 2; ++i) {
    bool touches = false;
    bool sinks = false;
    const double middle = site.scene.bearers[i].place * shape.length_m;
    for (int row = -10; row <= 10; ++row) {
      for (int k = 0; k < 360; ++k) {
        const double x = middle + 0.01 * row;
        const double theta = two_pi * k / 360;
        const Eigen::Vector3d bark =
            site.log.to_scan(surface.point_m(x, theta, surface.bark_radius_m(x, theta)));
        const auto holds = [&](double up) {
          return sim::holds(site.things[i].solid, bark + Eigen::Vector3d(0, 0, up));
        };
        touches = touches || holds(-0.005);
        sinks = sinks || holds(0.015);
      }
    }
    CHECK(touches);
    CHECK_FALSE(sinks);
  }
}

TEST_CASE("independent errors have the asked size", "[simulate]") {
  sim::Scanner scanner = all_round();
  scanner.white_sigma_m = 0.0015;
  const sim::Simulation made = sim::simulate(plain_cylinder(), bare_scene(), scanner, 5);
  const std::vector<double> heights = heights_m(made);
  // 28,000 points: three sigma of the mean is 0.03 mm, of the deviation 1.3 %.
  CHECK_THAT(mean(heights), WithinAbs(0, 0.00003));
  CHECK_THAT(deviation(heights), WithinRel(0.0015, 0.015));
}

TEST_CASE("errors that go together have the asked size and reach", "[simulate]") {
  sim::LogShape shape = plain_cylinder();
  shape.length_m = 8;
  shape.small_end_diameter_m = shape.large_end_diameter_m = 0.8;
  sim::Scanner scanner = all_round(0.04);
  scanner.correlated_sigma_m = 0.002;
  scanner.correlation_length_m = 0.06;
  const sim::Simulation made = sim::simulate(shape, bare_scene(), scanner, 6);
  // 20 m2 hold some thousand patches of that length; the field's waves are 64, so one field's own deviation
  // is off by some percent.
  const std::vector<double> heights = heights_m(made);
  CHECK_THAT(deviation(heights), WithinRel(0.002, 0.1));
  std::array<double, 3> product{};
  std::array<double, 3> square{};
  const std::array<double, 3> distances_m = {0.03, 0.06, 0.3};
  std::vector<Eigen::Vector3d> sites;
  std::vector<double> errors;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    if (made.scan.labels[i] == sim::Label::bark) {
      sites.push_back(made.scan.points_m[i]);
      errors.push_back(made.truth.log.bark_height_m(made.scan.points_m[i]));
    }
  }
  for (std::size_t i = 0; i < sites.size(); i += 4) {
    for (std::size_t j = 0; j < sites.size(); ++j) {
      const double distance = (sites[i] - sites[j]).norm();
      for (std::size_t bin = 0; bin < distances_m.size(); ++bin) {
        if (j != i && std::abs(distance - distances_m[bin]) < 0.005) {
          product[bin] += errors[i] * errors[j];
          square[bin] += (errors[i] * errors[i] + errors[j] * errors[j]) / 2;
        }
      }
    }
  }
  for (std::size_t bin = 0; bin < distances_m.size(); ++bin) {
    const double share = distances_m[bin] / 0.06;
    INFO("distance " << distances_m[bin]);
    CHECK_THAT(product[bin] / square[bin], WithinAbs(std::exp(-share * share / 2), 0.06));
  }
}
