#include "tools/job/find_log.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <utility>

#include "scan/model/errors.hpp"
#include "tests/support/facts.hpp"
#include "tests/tools/made_scans.hpp"
#include "tools/job/from_words.hpp"

using namespace flitchwise;
using namespace flitchwise::testing;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using ScaleKind = scan::ScaleSource::Kind;
using Status = scan::LogCloud::Status;
using UpKind = scan::UpSource::Kind;

namespace {

scan::Cloud cloud_of_points(const Points& points, double units_per_m = 1) {
  scan::Cloud cloud;
  for (const Eigen::Vector3d& p : points) {
    cloud.points.emplace_back((p * units_per_m).cast<float>());
  }
  return cloud;
}

ScanRequest with_tape(double length_m) {
  ScanRequest request;
  request.scale_length_m = length_m;
  return request;
}

double found_length_m(const FoundLog& found) {
  return (found.log_cloud.last_end.point_m - found.log_cloud.first_end.point_m).norm();
}

}  // namespace

TEST_CASE("a tape measure settles the scale of a file in any unit", "[find_log]") {
  const simulate::Simulation scan = short_log();
  constexpr double kTape_m = 2.750;  // the tape is right, whatever the scan says
  const double metres_per_metre = kTape_m / scan.truth.length_m;
  for (const double units_per_m : {1.0, 0.37, 1000.0}) {
    INFO(units_per_m << " units a metre");
    const FoundLog found = find_log(cloud_of_points(scan.scan.points_m, units_per_m), with_tape(kTape_m));
    REQUIRE(found.log_cloud.status == Status::ok);
    CHECK_THAT(found_length_m(found), WithinRel(kTape_m, 0.001));
    CHECK_THAT(found.oriented.scale * units_per_m, WithinRel(metres_per_metre, 0.003));
    CHECK(found.scale_source.kind == ScaleKind::tape);
    CHECK(found.scale_source.length_m == kTape_m);
  }
}

TEST_CASE("the named unit is the scale where there is no tape", "[find_log]") {
  const simulate::Simulation scan = short_log();
  ScanRequest request;
  request.metres_per_unit = 0.001;
  const FoundLog found = find_log(cloud_of_points(scan.scan.points_m, 1000), request);
  REQUIRE(found.log_cloud.status == Status::ok);
  CHECK_THAT(found_length_m(found), WithinAbs(scan.truth.length_m, 0.010));
  CHECK(found.oriented.scale == 0.001);
  CHECK(found.scale_source.kind == ScaleKind::given_unit);
}

TEST_CASE("two points a known distance apart settle the scale after the tape", "[find_log]") {
  const simulate::Simulation scan = short_log();
  constexpr double kUnitsPerM = 0.37;
  ScanRequest request;
  request.metres_per_unit = 0.3048;  // does not count beside the points
  request.scale_points =
      ScalePoints{scan.scan.points_m.front() * kUnitsPerM, scan.scan.points_m.back() * kUnitsPerM,
                  (scan.scan.points_m.back() - scan.scan.points_m.front()).norm()};
  const scan::Cloud cloud = cloud_of_points(scan.scan.points_m, kUnitsPerM);
  const FoundLog found = find_log(cloud, request);
  REQUIRE(found.log_cloud.status == Status::ok);
  CHECK_THAT(found_length_m(found), WithinAbs(scan.truth.length_m, 0.010));
  CHECK_THAT(found.oriented.scale * kUnitsPerM, WithinRel(1.0, 1e-9));
  CHECK(found.scale_source.kind == ScaleKind::points);
  CHECK(found.scale_source.length_m == request.scale_points->distance_m);
  request.scale_length_m = 2.750;
  CHECK_THAT(found_length_m(find_log(cloud, request)), WithinRel(2.750, 0.001));
}

TEST_CASE("two points that are not in the scan settle nothing", "[find_log]") {
  ScanRequest request;
  request.scale_points = ScalePoints{{0, 0, 0}, {0, 0, 900}, 1.0};
  const FoundLog found = find_log(cloud_of_points(bare_ground()), request);
  CHECK(found.log_cloud.status == Status::no_log);
  fact_as<scan::ScalePointsOutside>(found.log_cloud.message);
}

TEST_CASE("a log too long to be one makes it ask about the unit", "[find_log]") {
  // 2.6 m long and 0.1 m thick in a file whose unit is taken for ten times as large.
  Points points;
  for (int i = 0; i < 60'000; ++i) {
    const double angle = i * 2.399963;  // the golden angle: evenly spread
    points.emplace_back(i * (2.6 / 60'000), 0.05 * std::cos(angle), 0.05 * std::sin(angle));
  }
  for (const double x : {0.0, 2.6}) {
    for (int i = 1; i < 2000; ++i) {
      const double r = 0.05 * std::sqrt(i / 2000.0);
      points.emplace_back(x, r * std::cos(i * 2.399963), r * std::sin(i * 2.399963));
    }
  }
  REQUIRE(find_log(cloud_of_points(points), {}).log_cloud.status == Status::ok);
  const FoundLog found = find_log(cloud_of_points(points, 10), {});
  CHECK(found.log_cloud.status == Status::no_log);
  CHECK_THAT(fact_as<scan::LogTooLong>(found.log_cloud.message).length_m, WithinAbs(26, 0.5));
}

TEST_CASE("a log too thin to be one makes it ask about the unit", "[find_log]") {
  const simulate::Simulation scan = short_log();  // 0.28 m thick
  const auto fact = [&](double units_per_m, double metres_per_unit) {
    ScanRequest request;
    request.metres_per_unit = metres_per_unit;
    const FoundLog found = find_log(cloud_of_points(scan.scan.points_m, units_per_m), request);
    CHECK(found.log_cloud.status == Status::no_log);
    return fact_as<scan::LogOfOtherUnit>(found.log_cloud.message);
  };
  constexpr double kInch = 0.0254;
  constexpr double kFoot = 0.3048;
  // A file in feet, said to be in inches: a twelfth of its size.
  const scan::LogOfOtherUnit in_inches = fact(1 / kFoot, kInch);
  CHECK(in_inches.metres_per_unit == kFoot);
  CHECK_THAT(in_inches.length_m, WithinRel(scan.truth.length_m / 12, 0.02));
  CHECK_THAT(in_inches.thickness_m, WithinRel(0.28 / 12, 0.15));
  // A scale that no unit explains: an eighth.
  CHECK(fact(1. / 8, 1).metres_per_unit == 0);
}

TEST_CASE("a known distance is read as people write it", "[find_log]") {
  const ScalePoints points = scale_points_of("1.5, -2,0.5 : 4.5,2,0.5 = 2500", "scale");
  CHECK(points.first == Eigen::Vector3d(1.5, -2, 0.5));
  CHECK(points.second == Eigen::Vector3d(4.5, 2, 0.5));
  CHECK(points.metres_per_unit() == 0.5);
  for (const char* text : {"", "1,2,3:4,5,6", "1,2:4,5,6=700", "1,2,3:4,5,6=700mm", "1,2,3;4,5,6=700", "a",
                           "1,2,nan:4,5,6=700", "1,2,3:4,5,6=49", "1,2,3:4,5,6=-700", "1,2,3:1,2,3=700"}) {
    INFO(text);
    CHECK_THROWS_AS(scale_points_of(text, "scale"), BadUse);
  }
}

TEST_CASE("a scene of impossible size makes it ask about the unit", "[find_log]") {
  const Points ground = bare_ground();  // 5 m wide
  const auto width_m = [&](double units_per_m) {
    const FoundLog found = find_log(cloud_of_points(ground, units_per_m), {});
    return fact_as<scan::SceneOfOtherSize>(found.log_cloud.message).width_m;
  };
  constexpr double kWidth_m = 5;
  for (const double units_per_m : {1e-6, 0.1, 10.0, 1000.0, 1e30}) {
    CHECK_THAT(width_m(units_per_m), WithinRel(kWidth_m * units_per_m, 0.01));
  }
  fact_as<scan::NoLog>(find_log(cloud_of_points(ground), {}).log_cloud.message);
}

TEST_CASE("points without extent have no log, with or without a tape", "[find_log]") {
  const Points one_place(5000, Eigen::Vector3d(1, 2, 3));
  Points a_hair;
  for (int i = 0; i < 5000; ++i) {
    a_hair.emplace_back(1e-38 * i, 0, 0);
  }
  for (const Points& points : {one_place, a_hair}) {
    CHECK(find_log(cloud_of_points(points), {}).log_cloud.status == Status::no_log);
    const FoundLog found = find_log(cloud_of_points(points), with_tape(2.6));
    CHECK(found.log_cloud.status == Status::no_log);
    fact_as<scan::NoExtent>(found.log_cloud.message);
  }
}

TEST_CASE("a tape measure keeps the reason why a log will not do", "[find_log]") {
  const simulate::Simulation scan = short_log();
  const Points half = kept_points(scan, [](const Eigen::Vector3d& p) { return p.x() < 1.2; });
  for (const double units_per_m : {1.0, 0.4}) {
    const FoundLog found = find_log(cloud_of_points(half, units_per_m), with_tape(2.6));
    CHECK(found.log_cloud.status == Status::end_not_seen);
    CHECK(fact_as<scan::EndNotSeen>(found.log_cloud.message).large_end);
  }
}

TEST_CASE("single points far off change nothing", "[find_log]") {
  Points points = short_log().scan.points_m;
  const auto summary = [&](const ScanRequest& request) {
    const FoundLog found = find_log(cloud_of_points(points), request);
    REQUIRE(found.log_cloud.status == Status::ok);
    return std::pair(found_length_m(found), found.log_cloud.surface_m.size());
  };
  const auto before = summary({});
  const auto before_with_tape = summary(with_tape(2.6));
  for (const double far_m : {300.0, 1e6, -1e12, 1e30}) {
    points.emplace_back(far_m, 0, 0);
    points.emplace_back(1, far_m, -far_m);
  }
  CHECK(summary({}) == before);
  CHECK(summary(with_tape(2.6)) == before_with_tape);
}

TEST_CASE("a scene of fine points in the wrong unit needs no memory for its true size", "[find_log]") {
  // A flat square 5 km wide, as of a scan in millimetres whose ground is smooth.
  Points plane;
  for (int i = 0; i < 100; ++i) {
    for (int j = 0; j < 100; ++j) {
      plane.emplace_back(50.0 * i, 50.0 * j, 0.0);
    }
  }
  fact_as<scan::SceneOfOtherSize>(find_log(cloud_of_points(plane), {}).log_cloud.message);
}

TEST_CASE("what the file states of its unit and up is used where the person said nothing", "[find_log]") {
  const simulate::Simulation scan = short_log();
  scan::Cloud cloud;  // in millimetres with y up: (x, y, z) of the scan is (x, -z, y) of the file
  for (const Eigen::Vector3d& p : scan.scan.points_m) {
    cloud.points.emplace_back((Eigen::Vector3d(p.x(), p.z(), -p.y()) * 1000).cast<float>());
  }
  scan::FileFrame stated;
  stated.up = Eigen::Vector3d::UnitY();
  stated.metres_per_unit = 0.001;
  stated.format = scan::FileFormat::Kind::gltf;

  const FoundLog found = find_log(cloud, {}, stated);
  REQUIRE(found.log_cloud.status == Status::ok);
  CHECK_THAT(found_length_m(found), WithinAbs(scan.truth.length_m, 0.010));
  CHECK(found.scale_source.kind == ScaleKind::file_format);
  CHECK(found.scale_source.format == scan::FileFormat::Kind::gltf);
  CHECK(found.oriented.up_source == scan::UpSource{UpKind::file_format, "+y", scan::FileFormat::Kind::gltf});

  ScanRequest asked;  // the person goes before the file
  asked.metres_per_unit = 0.001;
  asked.up = Eigen::Vector3d::UnitY();
  stated.metres_per_unit = 1;
  stated.up = Eigen::Vector3d::UnitX();
  const FoundLog as_asked = find_log(cloud, asked, stated);
  REQUIRE(as_asked.log_cloud.status == Status::ok);
  CHECK(as_asked.scale_source.kind == ScaleKind::given_unit);
  CHECK(as_asked.oriented.up_source == scan::UpSource{UpKind::given, "+y"});
}
