/// Two scans of one simulated site, each of a part of it, moved apart by a rigid motion that the test knows.

#include "scan/merge/merge.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "tests/support/facts.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::scan {
namespace {

using Status = MergeResult::Status;

struct Halves {
  Cloud first;
  Cloud second;  ///< moved by `moved_from_scan`
  Eigen::Isometry3d moved_from_scan = Eigen::Isometry3d::Identity();
};

Eigen::Isometry3d some_motion() {
  Eigen::Isometry3d motion(Eigen::AngleAxisd(2.2, Eigen::Vector3d::UnitZ()));
  motion.pretranslate(Eigen::Vector3d(3.1, -1.7, 0.4));
  return motion;
}

simulate::LogShape log_shape() {
  simulate::LogShape shape;
  shape.length_m = 3;
  shape.sweep_m = 0.03;
  shape.bark_m = 0.008;
  shape.bark_ridge_m = 0.002;
  shape.bumps = {{simulate::Bump::Kind::knot, 0.9, 1.2, 0.02, 0.1},
                 {simulate::Bump::Kind::stub, 2.1, 0.8, 0.04, 0.06}};
  return shape;
}

/// What of a scan a half keeps: by the place along the log (0 to 1 is the log) and the side (+ is left).
using Keeps = std::function<bool(double along, double side_m)>;

Cloud part_of(const simulate::Site& site, std::uint64_t seed, const Keeps& keeps,
              const Eigen::Isometry3d& motion, const simulate::Scanner& scanner = simulate::photo_scanner()) {
  const simulate::ScanPoints scan = simulate::take_scan(site, scanner, seed);
  Cloud cloud;
  for (const Eigen::Vector3d& p : scan.points_m) {
    const Eigen::Vector3d in_shape = site.log.to_shape(p);
    if (keeps(in_shape.x() / site.log.surface.shape().length_m, in_shape.y())) {
      cloud.points.emplace_back((motion * p).cast<float>());
    }
  }
  return cloud;
}

simulate::Scene scene() {
  simulate::Scene scene;
  scene.unevenness_m = 0.02;
  return scene;
}

Halves halves(const Keeps& first, const Keeps& second) {
  const simulate::Site site = simulate::build_site(log_shape(), scene());
  Halves halves;
  halves.moved_from_scan = some_motion();
  halves.first = part_of(site, 1, first, Eigen::Isometry3d::Identity());
  halves.second = part_of(site, 2, second, halves.moved_from_scan);
  return halves;
}

/// How far the recovered motion lays any corner of a box around the log from where it belongs.
double error_m(const Halves& halves, const MergeResult& result) {
  double worst = 0;
  const Eigen::Isometry3d left = result.alignments[1].first_from_this * halves.moved_from_scan;
  for (const double x : {-1.5, 1.5}) {
    for (const double y : {-0.2, 0.2}) {
      const Eigen::Vector3d p(x, y, 0.3);
      worst = std::max(worst, (left * p - p).norm());
    }
  }
  return worst;
}

TEST_CASE("two scans from either side of a log become one", "[merge]") {
  const Halves given = halves([](double, double side) { return side > -0.06; },
                              [](double, double side) { return side < 0.06; });
  const MergeResult result = merge({given.first, given.second});
  REQUIRE(result.status == Status::ok);
  CHECK(error_m(given, result) < 0.004);
  CHECK(result.cloud.size() == given.first.size() + given.second.size());
  CHECK_FALSE(result.alignments[1].as_given);
}

TEST_CASE("two scans one behind the other become one", "[merge]") {
  const Halves given = halves([](double along, double) { return along < 0.7; },
                              [](double along, double) { return along > 0.3; });
  const MergeResult result = merge({given.first, given.second});
  REQUIRE(result.status == Status::ok);
  CHECK(error_m(given, result) < 0.006);
}

TEST_CASE("scans that already fit stay where they are", "[merge]") {
  Halves given = halves([](double, double side) { return side > -0.06; },
                        [](double, double side) { return side < 0.06; });
  for (Eigen::Vector3f& p : given.second.points) {
    p = (given.moved_from_scan.inverse() * p.cast<double>()).cast<float>();
  }
  const MergeResult result = merge({given.first, given.second});
  REQUIRE(result.status == Status::ok);
  CHECK(result.alignments[1].as_given);
  CHECK(result.alignments[1].first_from_this.isApprox(Eigen::Isometry3d::Identity()));
}

TEST_CASE("scans of two logs are refused", "[merge]") {
  const Keeps all = [](double, double) { return true; };
  simulate::LogShape other = log_shape();
  other.small_end_diameter_m = 0.22;
  other.large_end_diameter_m = 0.27;
  other.length_m = 4;
  other.sweep_m = 0.08;
  simulate::Scene other_scene = scene();
  other_scene.detail_seed = 7;
  const Cloud first =
      part_of(simulate::build_site(log_shape(), scene()), 1, all, Eigen::Isometry3d::Identity());
  const Cloud second = part_of(simulate::build_site(other, other_scene), 2, all, some_motion());
  const MergeResult result = merge({first, second});
  CHECK(result.status != Status::ok);
  CHECK(result.message);
  CHECK(result.cloud.empty());
}

/// Logs of one size, each on bearers of its own.
simulate::Site random_site(std::uint64_t seed) {
  simulate::LogWishes log;
  log.length_m = 3.2;
  log.small_end_diameter_m = 0.28;
  log.large_end_diameter_m = 0.31;
  simulate::SceneWishes scene;
  scene.neighbours = 0;
  return simulate::build_site(simulate::random_log(seed, log), simulate::random_scene(seed, 3.2, scene));
}

// Their wood alone would pass for one log: what stands beside it does not.
TEST_CASE("scans of two logs of one size are refused", "[merge]") {
  const Keeps all = [](double, double) { return true; };
  const Cloud first = part_of(random_site(2), 4, all, Eigen::Isometry3d::Identity());
  const MergeResult other = merge({first, part_of(random_site(1002), 9, all, some_motion())});
  CHECK(other.status == Status::do_not_fit);
  CHECK(testing::fact_as<ScanUnlike>(other.message).scan == 1);
  CHECK(merge({first, part_of(random_site(2), 5, all, some_motion())}).status == Status::ok);
}

TEST_CASE("rough scans that share a short stretch are refused: the log could come out bent", "[merge]") {
  const simulate::Site site = random_site(1);
  const auto part = [&](std::uint64_t seed, const Keeps& keeps, const Eigen::Isometry3d& motion) {
    return part_of(site, seed, keeps, motion, simulate::depth_scanner());
  };
  const Keeps all = [](double, double) { return true; };
  const Cloud whole = part(1, all, Eigen::Isometry3d::Identity());
  const Cloud start = part(
      1, [](double along, double) { return along < 0.7; }, Eigen::Isometry3d::Identity());
  const MergeResult bent =
      merge({start, part(
                        2, [](double along, double) { return along > 0.4; }, some_motion())});
  CHECK(bent.status == Status::ambiguous);
  const auto& bends = testing::fact_as<ScanBends>(bent.message);
  CHECK(bends.scan == 1);
  CHECK(bends.bend_m > bends.most_bend_m);
  CHECK(merge({whole, part(2, all, some_motion())}).status == Status::ok);
}

TEST_CASE("a bare round bar that slides along itself is refused", "[merge]") {
  const auto bar = [](double from_m, double to_m, double shift_m) {
    Cloud cloud;
    for (int i = 0; i < 40'000; ++i) {
      const double angle = i * 2.399963;  // the golden angle: evenly spread
      const double x = from_m + (to_m - from_m) * i / 40'000;
      cloud.points.emplace_back(
          Eigen::Vector3d(x + shift_m, 0.15 * std::cos(angle), 0.15 * std::sin(angle)).cast<float>());
    }
    return cloud;
  };
  const MergeResult result = merge({bar(0, 2, 0), bar(1, 3, 4)});
  CHECK(result.status == Status::ambiguous);
}

TEST_CASE("scans in two units are refused", "[merge]") {
  Halves given = halves([](double, double side) { return side > -0.06; },
                        [](double, double side) { return side < 0.06; });
  for (Eigen::Vector3f& p : given.second.points) {
    p *= 1000;
  }
  CHECK(merge({given.first, given.second}).status == Status::scales_differ);
}

}  // namespace
}  // namespace flitchwise::scan
