/// Finding the log in simulated scenes.

#include "scan/find/isolate.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>

#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "scan/model/errors.hpp"
#include "tests/support/against_truth.hpp"
#include "tests/support/facts.hpp"

namespace {

using namespace flitchwise;
using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;
using simulate::Label;
using simulate::Simulation;
using std::numbers::pi;

simulate::Scanner coarse_photo_scanner() {
  simulate::Scanner scanner = simulate::photo_scanner();
  scanner.spacing_m = 0.009;
  scanner.ground_spacing_m = 0.03;
  return scanner;
}

/// A scene with grass, neighbour logs, uneven ground and, for some seeds, a stump.
Simulation busy_scene(std::uint64_t seed, const simulate::Scanner& scanner = coarse_photo_scanner()) {
  simulate::SceneWishes scene;
  scene.grass_m = 0.12;
  scene.neighbours = 2;
  return simulate::simulate_random(seed, scanner, {}, scene);
}

using Keep = std::function<bool(const Eigen::Vector3d& in_log_m, Label label)>;

/// Those points of the scan that `keep` wants.
Cloud part_of(const Simulation& made, const Keep& keep) {
  simulate::ScanPoints part;
  for (std::size_t i = 0; i < made.scan.points_m.size(); ++i) {
    if (keep(made.truth.to_log(made.scan.points_m[i]), made.scan.labels[i])) {
      part.points_m.push_back(made.scan.points_m[i]);
    }
  }
  return testing::cloud_of(part);
}

LogCloud isolated(const Cloud& cloud, const IsolateOptions& options = {}) {
  const OrientResult oriented = orient(cloud);
  return isolate(oriented.cloud, oriented.ground, options);
}

bool is_of_log(Label label) {
  return label == Label::bark || label == Label::end_face;
}

/// Points on a round post.
void add_post(Cloud& cloud, const Eigen::Vector3d& foot_m, double radius_m, double height_m) {
  for (double z = 0; z < height_m; z += 0.01) {
    for (int k = 0; k < 100; ++k) {
      const double theta = 2 * pi * k / 100;
      cloud.points.emplace_back(
          (foot_m + Eigen::Vector3d(radius_m * std::cos(theta), radius_m * std::sin(theta), z))
              .cast<float>());
    }
  }
}

}  // namespace

TEST_CASE("the scanned log is found beside its neighbours, with both ends", "[isolate]") {
  const auto seed = GENERATE(21U, 22U, 23U, 24U);
  CAPTURE(seed);
  const Simulation made = busy_scene(seed);
  const LogCloud log = isolated(testing::cloud_of(made.scan));
  REQUIRE(log.status == LogCloud::Status::ok);
  CHECK_FALSE(log.message);
  // The track runs along the log, either way.
  const bool forwards = made.truth.to_log(log.track.front().centre_m).x() < 0.5 * made.truth.length_m;
  const EndPlane& small_end = forwards ? log.first_end : log.last_end;
  const EndPlane& large_end = forwards ? log.last_end : log.first_end;
  const auto check_end = [&](const EndPlane& end, const simulate::TruthEnd& truth) {
    const Eigen::Vector3d normal = made.truth.scan_from_log.transpose() * end.normal;
    // A face's plane meets its true middle; measured up to 1.8 mm.
    CHECK_THAT(truth.normal.dot(made.truth.to_log(end.point_m) - truth.point_m), WithinAbs(0, 0.005));
    CHECK(std::acos(std::min(1.0, normal.dot(truth.normal))) < 0.07);  // measured up to 0.036
    CHECK(end.seen);
  };
  check_end(small_end, made.truth.small_end);
  check_end(large_end, made.truth.large_end);

  REQUIRE(log.surface_m.size() == log.surface_normals.size());
  REQUIRE(log.surface_m.size() > 10'000);
  double near_bark = 0;
  for (std::size_t i = 0; i < log.surface_m.size(); ++i) {
    near_bark += std::abs(made.truth.log.bark_height_m(log.surface_m[i])) < 0.02 ? 1 : 0;
    const double norm = log.surface_normals[i].norm();
    REQUIRE((norm == 0 || std::abs(norm - 1) < 1e-5));
  }
  // The rest is grass, bearers and stubs, left to the fit; measured 0.78 to 0.9.
  CHECK(near_bark > 0.6 * static_cast<double>(log.surface_m.size()));
  for (const TrackPoint& t : log.track) {
    const Eigen::Vector3d middle = made.truth.to_log(t.centre_m);
    REQUIRE((middle.tail<2>() - made.truth.centre_at(middle.x())).norm() < 0.03);
  }
}

TEST_CASE("a second log that was seen as well is told of, a neighbour behind it is not", "[isolate]") {
  const Simulation made = busy_scene(22);
  const Cloud alone = testing::cloud_of(made.scan);
  CHECK_FALSE(isolated(alone).rival_log);
  Cloud twice = alone;
  for (const Eigen::Vector3f& p : alone.points) {
    twice.points.emplace_back(p + Eigen::Vector3f(8, 0, 0));  // the same scene, a few steps further on
  }
  const LogCloud log = isolated(twice);
  CHECK(log.status == LogCloud::Status::ok);
  CHECK(log.rival_log);
}

TEST_CASE("a log that runs out of the scan is refused, and the missing end named", "[isolate]") {
  simulate::Scanner scanner = coarse_photo_scanner();
  const bool small_missing = GENERATE(false, true);
  CAPTURE(small_missing);
  scanner.keep_part = small_missing ? 1 : 0.6;
  const Simulation made = busy_scene(31, scanner);
  const Cloud cloud =
      part_of(made, [&](const Eigen::Vector3d& p, Label) { return !small_missing || p.x() > 1; });
  const LogCloud refused = isolated(cloud);
  CHECK(refused.status == LogCloud::Status::end_not_seen);
  const auto& missing = testing::fact_as<EndNotSeen>(refused.message);
  CHECK(missing.small_end == small_missing);
  CHECK(missing.large_end == !small_missing);
  IsolateOptions options;
  options.allow_unseen_ends = true;
  const LogCloud allowed = isolated(cloud, options);
  REQUIRE(allowed.status == LogCloud::Status::ok);
  CHECK_FALSE(allowed.message);
  CHECK(allowed.first_end.seen != allowed.last_end.seen);
  const EndPlane& open = allowed.first_end.seen ? allowed.last_end : allowed.first_end;
  const double border_m = small_missing ? 1 : 0.6 * made.truth.length_m;
  CHECK_THAT(made.truth.to_log(open.point_m).x(), WithinAbs(border_m, 0.03));  // in bins of 20 mm
}

TEST_CASE("both ends out of the scan", "[isolate]") {
  const Simulation made = busy_scene(32);
  const LogCloud log = isolated(part_of(made, [&](const Eigen::Vector3d& p, Label) {
    return p.x() > 0.5 && p.x() < made.truth.length_m - 0.5;
  }));
  CHECK(log.status == LogCloud::Status::end_not_seen);
  const auto& missing = testing::fact_as<EndNotSeen>(log.message);
  CHECK((missing.small_end && missing.large_end));
}

TEST_CASE("where there is no log, none is found", "[isolate]") {
  const auto check_none = [](const Cloud& cloud) {
    const LogCloud log = isolated(cloud);
    CHECK(log.status == LogCloud::Status::no_log);
    testing::fact_as<NoLog>(log.message);
    CHECK(log.surface_m.empty());
  };
  SECTION("an empty cloud") {
    check_none({});
  }
  SECTION("one point") {
    Cloud cloud;
    cloud.points.emplace_back(1, 2, 3);
    check_none(cloud);
  }
  SECTION("ground and grass") {
    const Simulation made = busy_scene(33);
    check_none(part_of(made, [](const Eigen::Vector3d&, Label label) {
      return label == Label::ground || label == Label::grass || label == Label::floater;
    }));
  }
  SECTION("upright posts and a stump on the ground") {
    const Simulation made = busy_scene(34);
    Cloud cloud = part_of(made, [](const Eigen::Vector3d&, Label label) { return label == Label::ground; });
    add_post(cloud, cloud.points[100].cast<double>(), 0.15, 1.5);
    add_post(cloud, cloud.points[2000].cast<double>(), 0.25, 0.4);
    check_none(cloud);
  }
  SECTION("an upright post alone, with up given") {
    Cloud cloud;
    add_post(cloud, {0, 0, 0}, 0.15, 2.5);
    CHECK(isolate(cloud, std::nullopt).status == LogCloud::Status::no_log);
  }
  SECTION("a pole too thin, a block too short") {
    const Simulation made = busy_scene(35);
    const auto log_only = [](const Eigen::Vector3d&, Label label) { return is_of_log(label); };
    IsolateOptions options;
    options.least_diameter_m = 0.9;
    CHECK(isolated(part_of(made, log_only), options).status == LogCloud::Status::no_log);
    options = {};
    options.least_length_m = made.truth.length_m + 0.5;
    CHECK(isolated(part_of(made, log_only), options).status == LogCloud::Status::no_log);
  }
}

TEST_CASE("a log seen from one side is refused by the one or the other stage", "[isolate]") {
  simulate::SceneWishes wishes;
  wishes.neighbours = 0;  // a neighbour would be taken in place of a log that shows so little
  const Simulation made = simulate::simulate_random(36, coarse_photo_scanner(), {}, wishes);
  const auto seen_arc = [&](double arc_rad) {
    return part_of(made, [=, &made](const Eigen::Vector3d& p, Label label) {
      const auto& shape = made.truth.log;
      const double theta = shape.surface.polar(shape.to_shape(made.truth.to_scan(p))).theta;
      return label != Label::bark || std::abs(std::remainder(theta - 0.5, 2 * pi)) < arc_rad / 2;
    });
  };
  const double arc_rad = GENERATE(1.9, 2.5);
  CAPTURE(arc_rad);
  const LogCloud log = isolated(seen_arc(arc_rad));
  if (log.status == LogCloud::Status::ok) {
    const FitResult result = fit(log);
    CHECK(result.status == FitResult::Status::one_side_only);
    testing::fact_as<HalfUnseen>(result.message);
  } else {
    CHECK(log.status == LogCloud::Status::one_side_only);
    testing::fact_as<OneSideSeen>(log.message);
  }
}

TEST_CASE("isolation works far from the origin and without a ground", "[isolate]") {
  simulate::SceneWishes wishes;
  wishes.ground = false;
  wishes.neighbours = 0;
  const Simulation made = simulate::simulate_random(37, coarse_photo_scanner(), {}, wishes);
  Cloud cloud = testing::cloud_of(made.scan);
  const LogCloud near = isolate(cloud, std::nullopt);
  const Eigen::Vector3d shift(431'250.5, 5'212'004.25, 640);
  cloud.origin += shift;
  const LogCloud far = isolate(cloud, std::nullopt);
  REQUIRE(near.status == LogCloud::Status::ok);
  REQUIRE(far.status == LogCloud::Status::ok);
  REQUIRE(far.surface_m.size() == near.surface_m.size());
  CHECK((far.first_end.point_m - near.first_end.point_m - shift).norm() < 1e-6);
  CHECK((far.last_end.point_m - near.last_end.point_m - shift).norm() < 1e-6);
  CHECK((far.surface_m[500] - near.surface_m[500] - shift).norm() < 1e-6);
}

TEST_CASE("the underside of a log over ground that was hardly seen is no ground", "[isolate]") {
  simulate::Scanner scanner = simulate::perfect_scanner();
  scanner.full_coverage = true;
  scanner.spacing_m = 0.009;
  scanner.ground_spacing_m = GENERATE(0.02, 0.04);
  const Simulation made = simulate::simulate({}, {}, scanner, 38);
  const LogCloud log = isolated(testing::cloud_of(made.scan));
  REQUIRE(log.status == LogCloud::Status::ok);
  double below = 0;
  for (const Eigen::Vector3d& p : log.surface_m) {
    const Eigen::Vector3d q = made.truth.to_log(p);
    below += std::atan2(q.z(), q.y()) < -pi / 3 && std::atan2(q.z(), q.y()) > -2 * pi / 3 ? 1 : 0;
  }
  // A sixth of the girth; the bearers add some of their own.
  CHECK(below > 0.15 * static_cast<double>(log.surface_m.size()));
}

TEST_CASE("the options of the isolation are checked", "[isolate]") {
  const auto bad = [](auto change) {
    IsolateOptions options;
    change(options);
    CHECK_THROWS_AS(isolate({}, std::nullopt, options), BadUse);
  };
  bad([](IsolateOptions& o) { o.least_diameter_m = 0; });
  bad([](IsolateOptions& o) { o.most_diameter_m = o.least_diameter_m; });
  bad([](IsolateOptions& o) { o.least_length_m = 0; });
  bad([](IsolateOptions& o) { o.least_length_m = std::nan(""); });
}
