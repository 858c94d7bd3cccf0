#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <limits>

#include "scan/read_scan.hpp"
#include "tests/scan/read_support.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

using PointList = std::vector<Eigen::Vector3d>;

/// A binary PLY of double coordinates.
std::string double_ply(const PointList& points) {
  std::string bytes = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                      std::to_string(points.size()) +
                      "\nproperty double x\nproperty double y\nproperty double z\nend_header\n";
  for (const Eigen::Vector3d& point : points) {
    for (int i = 0; i < 3; ++i) {
      bytes += bytes_of(point[i], std::endian::little);
    }
  }
  return bytes;
}

/// A tube of 4 m on the ground, from golden-angle turns: even, in no order of neighbours.
PointList tube(std::size_t count) {
  constexpr double kGoldenAngle = 2.39996322972865332;
  constexpr double kRadius = 0.2;
  PointList points;
  for (std::size_t i = 0; i < count; ++i) {
    const double turn = kGoldenAngle * static_cast<double>(i);
    const double along = static_cast<double>(i * 7919 % count) / static_cast<double>(count);
    points.emplace_back(4 * along, kRadius * std::cos(turn), kRadius * std::sin(turn));
  }
  return points;
}

Eigen::AlignedBox3d bounds(const Cloud& cloud) {
  Eigen::AlignedBox3d box;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    box.extend(cloud.at(i));
  }
  return box;
}

}  // namespace

TEST_CASE("map coordinates keep their millimetres") {
  const Eigen::Vector3d corner(612'345.678, 5'312'345.678, 1'834.567);
  PointList points = tube(2000);
  for (Eigen::Vector3d& point : points) {
    point += corner;
  }
  points.emplace_back(Eigen::Vector3d::Zero());  // one stray must not spoil the others
  const Cloud cloud = read_bytes(double_ply(points)).cloud;
  REQUIRE(cloud.size() == points.size());
  double worst = 0;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    worst = std::max(worst, (cloud.at(i) - points[i]).norm());
  }
  CHECK(worst < 1e-6);  // float offsets of up to 4 m resolve 2.4e-7 m
}

TEST_CASE("points that are not finite are skipped and counted") {
  PointList points = tube(500);
  points[7].y() = std::numeric_limits<double>::quiet_NaN();
  points[8].x() = std::numeric_limits<double>::infinity();
  points[499].z() = -1e300;  // beyond any measurement, and beyond float
  const ReadResult result = read_bytes(double_ply(points));
  CHECK(result.points_read == 497);
  CHECK(result.points_skipped == 3);
  CHECK(result.cloud.size() == 497);
  CHECK((result.cloud.at(7) - points[9]).norm() < 1e-6);
}

TEST_CASE("a cloud that is too large is thinned evenly, within its bounds") {
  const std::size_t most = GENERATE(1000U, 5000U, 20'000U, 49'999U);
  const PointList points = tube(50'000);
  ReadOptions options;
  options.max_points = most;
  const ReadResult result = read_bytes(double_ply(points), options);
  const ReadResult again = read_bytes(double_ply(points), options);
  const ReadResult whole = read_bytes(double_ply(points));
  CHECK(whole.cloud.size() == points.size());
  CHECK(result.points_read == points.size());
  CHECK(result.cloud.size() <= most);
  CHECK(result.cloud.size() > most * 2 / 5);  // half is aimed at, in steps of 5 % of the edge
  CHECK(result.cloud.points == again.cloud.points);
  REQUIRE(result.grid > 0);
  const Eigen::AlignedBox3d kept = bounds(result.cloud);
  const Eigen::AlignedBox3d all = bounds(whole.cloud);
  CHECK((kept.min() - all.min()).cwiseAbs().maxCoeff() <= result.grid);
  CHECK((kept.max() - all.max()).cwiseAbs().maxCoeff() <= result.grid);
}

TEST_CASE("thinning keeps each point's own colour") {
  ReadOptions options;
  options.max_points = 1000;
  const ReadResult result = read_bytes(plain_ply(3000), options);
  REQUIRE(result.cloud.colours.size() == result.cloud.size());
  REQUIRE(result.cloud.size() <= 1000);
  for (std::size_t i = 0; i < result.cloud.size(); ++i) {
    const auto index = static_cast<std::size_t>(std::lround(result.cloud.at(i).x() * 64));
    CHECK(result.cloud.colours[i] == sample_point(index).colour);
  }
}

TEST_CASE("thinning copes with degenerate clouds") {
  ReadOptions options;
  options.max_points = 1000;
  SECTION("all points equal") {
    const ReadResult result = read_bytes(double_ply(PointList(5000, Eigen::Vector3d(3, 4, 5))), options);
    CHECK(result.cloud.size() <= 1000);
    CHECK((result.cloud.at(0) - Eigen::Vector3d(3, 4, 5)).norm() < 1e-6);
  }
  SECTION("on a line, with strays at the end of the world") {
    PointList points;
    for (int i = 0; i < 5000; ++i) {
      points.emplace_back(i, 2 * i, 0);
    }
    points.emplace_back(1e29, -1e29, 1e29);
    const ReadResult result = read_bytes(double_ply(points), options);
    CHECK(result.cloud.size() <= 1000);
    CHECK(result.cloud.size() > 500);
  }
}

TEST_CASE("options out of range are refused") {
  const TemporaryFile file(plain_ply(200));
  CHECK_THROWS_AS(read(file.path(), {999, 100}), flitchwise::BadUse);
  CHECK_THROWS_AS(read(file.path(), {2'000'000'001, 100}), flitchwise::BadUse);
  CHECK_THROWS_AS(read(file.path(), {1000, 0}), flitchwise::BadUse);
}

TEST_CASE("files that cannot be a scan are refused with one sentence that says what to do") {
  CHECK_THROWS_WITH(read("/no/such/larch.ply"), "/no/such/larch.ply does not exist: check the path.");
  CHECK_THROWS_WITH(read(std::filesystem::temp_directory_path()), Contains("is a directory"));
  CHECK_THROWS_WITH(read("/dev/null"), Contains("is not a plain file"));
  CHECK_THAT(failure_of(""), Contains("is empty"));
  CHECK_THAT(failure_of("the log lay by the bog\nfor years\n"), Contains("is of no known format"));
  CHECK_THAT(failure_of(std::string(2000, '\0')), Contains("is of no known format"));
}

TEST_CASE("formats that are not read are named, with what to export instead") {
  const std::string entry = std::string("PK\3\4") + std::string(22, '\0') + std::string("\x0A\0\0\0", 4);
  CHECK_THAT(failure_of(entry + "scene.usdc"), Contains("is a USDZ model") && Contains("Blender"));
  CHECK_THAT(failure_of(entry + "larch.ply0"), Contains("is a ZIP archive: unpack it"));
  CHECK_THAT(failure_of("PK\3\4"), Contains("is a ZIP archive: unpack it"));
  CHECK_THAT(failure_of("<!DOCTYPE html><html>"), Contains("web page"));
  CHECK_THAT(failure_of("\xFF\xD8\xFF\xE0"), Contains("JPEG"));
}

TEST_CASE("scans with too few points are refused") {
  CHECK_THAT(failure_of(plain_ply(0)), Contains("holds no points"));
  CHECK_THAT(failure_of(plain_ply(99)), Contains("holds only 99 points, too few to show a log"));
  CHECK(failure_of(plain_ply(100)) == "read");
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THAT(failure_of(double_ply(PointList(300, Eigen::Vector3d(0, nan, 0)))),
             Contains("holds no point with finite coordinates"));
}
