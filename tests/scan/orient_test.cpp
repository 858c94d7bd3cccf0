#include "scan/find/orient.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/model/errors.hpp"

namespace {

using namespace flitchwise;
using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;
using std::numbers::pi;

constexpr double kDegree = pi / 180;
constexpr double kLevel_rad = 0.5 * kDegree;  // the ground's plane also takes in the log's lowest points

/// A log of 3 m along x, 200 mm above the ground.
void add_log(Cloud& cloud) {
  for (int i = 0; i <= 150; ++i) {
    for (int k = 0; k < 60; ++k) {
      const double theta = 2 * pi * k / 60;
      cloud.points.emplace_back(
          Eigen::Vector3d(0.02 * i, 0.15 * std::cos(theta), 0.35 + 0.15 * std::sin(theta)).cast<float>());
    }
  }
}

void add_ground(Cloud& cloud) {
  for (int i = -25; i <= 100; ++i) {
    for (int j = -35; j <= 35; ++j) {
      cloud.points.emplace_back(
          Eigen::Vector3d(0.04 * i, 0.04 * j, 0.004 * ((3 * i + 5 * j) % 7)).cast<float>());
    }
  }
}

Cloud log_on_ground() {
  Cloud cloud;
  add_log(cloud);
  add_ground(cloud);
  cloud.colours.assign(cloud.size(), {10, 20, 30});
  return cloud;
}

Cloud log_alone() {
  Cloud cloud;
  add_log(cloud);
  return cloud;
}

/// The scene as a file whose axes are turned.
Cloud turned(const Cloud& cloud, const Eigen::Matrix3d& file_from_scene) {
  Cloud out = cloud;
  for (auto& p : out.points) {
    p = file_from_scene.cast<float>() * p;
  }
  return out;
}

Eigen::Matrix3d turn(double angle_rad, const Eigen::Vector3d& axis) {
  return Eigen::AngleAxisd(angle_rad, axis.normalized()).toRotationMatrix();
}

/// y-up: file (x, y, z) is z-up (x, -z, y).
const Eigen::Matrix3d kFileFromSceneYUp = (Eigen::Matrix3d() << 1, 0, 0, 0, 0, 1, 0, -1, 0).finished();

double angle_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

void check_rotation(const Eigen::Matrix3d& r) {
  CHECK((r.transpose() * r - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  CHECK_THAT(r.determinant(), WithinAbs(1, 1e-12));
}

}  // namespace

TEST_CASE("a z-up file stays as it is", "[orient]") {
  const Cloud cloud = log_on_ground();
  const OrientResult result = orient(cloud);
  CHECK((result.scan_from_file - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  CHECK(result.up_source == UpSource{UpSource::Kind::ground, "+z"});
  CHECK(result.up_source.kind != UpSource::Kind::assumed);
  CHECK(result.scale == 1);
  CHECK(result.cloud.colours == cloud.colours);
  REQUIRE(result.cloud.size() == cloud.size());
  CHECK((result.cloud.at(1234) - cloud.at(1234)).norm() < 1e-6);
  REQUIRE(result.ground);
  CHECK(angle_between(result.ground->normal, Eigen::Vector3d::UnitZ()) < kLevel_rad);
  CHECK_THAT(result.ground->point_m.z(), WithinAbs(0.012, 0.01));
}

TEST_CASE("a y-up file is turned: (x, y, z) to (x, -z, y)", "[orient]") {
  const Cloud scene = log_on_ground();
  const Cloud file = turned(scene, kFileFromSceneYUp);
  const OrientResult result = orient(file);
  CHECK(result.up_source.axis == "+y");
  check_rotation(result.scan_from_file);
  for (std::size_t i = 0; i < file.size(); i += 97) {
    const Eigen::Vector3d p = file.at(i);
    REQUIRE((result.cloud.at(i) - Eigen::Vector3d(p.x(), -p.z(), p.y())).norm() < 1e-5);
    REQUIRE((result.cloud.at(i) - scene.at(i)).norm() < 1e-5);
  }
}

TEST_CASE("a file that stands on its head is turned over", "[orient]") {
  const Cloud file = turned(log_on_ground(), turn(pi, Eigen::Vector3d::UnitX()));
  const OrientResult result = orient(file);
  CHECK(result.up_source.axis == "-z");
  check_rotation(result.scan_from_file);
  REQUIRE(result.ground);
  CHECK(angle_between(result.ground->normal, Eigen::Vector3d::UnitZ()) < kLevel_rad);
  CHECK((result.cloud.at(0) - result.ground->point_m).z() > 0.15);  // the log lies above the ground
}

TEST_CASE("a wall that shows more points than the ground is not taken for it", "[orient]") {
  Cloud scene = log_on_ground();
  scene.colours.clear();
  // 6.4 m long, 3.8 m high, 1.4 m beside the log: more than the ground, which is 5 m by 2.8 m.
  for (int i = -85; i <= 235; ++i) {
    for (int k = 0; k <= 190; ++k) {
      scene.points.emplace_back(0.02F * static_cast<float>(i), 1.4F, 0.02F * static_cast<float>(k));
    }
  }
  SECTION("z up") {
    const OrientResult result = orient(scene);
    CHECK(result.up_source == UpSource{UpSource::Kind::ground, "+z"});
    REQUIRE(result.ground);
    CHECK(angle_between(result.ground->normal, Eigen::Vector3d::UnitZ()) < 2 * kLevel_rad);  // the foot
  }
  SECTION("y up: the wall looks along the file's z axis") {
    const OrientResult result = orient(turned(scene, kFileFromSceneYUp));
    CHECK(result.up_source == UpSource{UpSource::Kind::ground, "+y"});
  }
  SECTION("ground on both sides of the wall") {
    for (int i = -25; i <= 100; ++i) {
      for (int j = 35; j <= 70; ++j) {
        scene.points.emplace_back(0.04F * static_cast<float>(i), 0.04F * static_cast<float>(j), 0.01F);
      }
    }
    CHECK(orient(scene).up_source == UpSource{UpSource::Kind::ground, "+z"});
  }
}

TEST_CASE("a given up axis is taken, whatever its length", "[orient]") {
  const Cloud file = turned(log_on_ground(), kFileFromSceneYUp);
  OrientOptions options;
  options.up = Eigen::Vector3d(0, 25, 0);
  const OrientResult agreed = orient(file, options);
  CHECK(agreed.up_source == UpSource{UpSource::Kind::given, "+y"});
  CHECK(agreed.ground);
  options.up = Eigen::Vector3d(0, 0, -1);  // against what the ground says
  const OrientResult insisted = orient(file, options);
  CHECK(insisted.up_source == UpSource{UpSource::Kind::given, "-z"});
  check_rotation(insisted.scan_from_file);
  CHECK((insisted.scan_from_file * Eigen::Vector3d(0, 0, -1) - Eigen::Vector3d::UnitZ()).norm() < 1e-9);
  CHECK(insisted.up_source.kind != UpSource::Kind::assumed);
}

TEST_CASE("without a ground, up is assumed so that the log lies level", "[orient]") {
  const OrientResult along_x = orient(log_alone());
  CHECK(along_x.up_source.kind == UpSource::Kind::assumed);
  CHECK_FALSE(along_x.ground);
  CHECK(along_x.up_source == UpSource{UpSource::Kind::assumed, "+z"});
  CHECK((along_x.scan_from_file - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  // A y-up file with the log along its z axis: taking z for up would stand it on end.
  const Cloud along_z = turned(log_alone(), turn(-pi / 2, Eigen::Vector3d::UnitY()));
  const OrientResult result = orient(along_z);
  CHECK(result.up_source.kind == UpSource::Kind::assumed);
  CHECK(result.up_source.axis == "+y");
  const Eigen::Vector3d axis = result.cloud.at(150 * 60) - result.cloud.at(0);  // along the log
  CHECK_THAT(axis.z(), WithinAbs(0, 1e-5));
}

TEST_CASE("sloping ground leaves the axis; a tilted file is set level", "[orient]") {
  const Eigen::Vector3d hinge(1, 2, 0);
  const OrientResult slope = orient(turned(log_on_ground(), turn(10 * kDegree, hinge)));
  CHECK((slope.scan_from_file - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  const OrientResult steep = orient(turned(log_on_ground(), turn(21 * kDegree, hinge)));
  CHECK((steep.scan_from_file - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  REQUIRE(slope.ground);
  CHECK_THAT(angle_between(slope.ground->normal, Eigen::Vector3d::UnitZ()),
             WithinAbs(10 * kDegree, kLevel_rad));

  const OrientResult tilted = orient(turned(log_on_ground(), turn(40 * kDegree, hinge)));
  check_rotation(tilted.scan_from_file);
  CHECK(tilted.up_source == UpSource{UpSource::Kind::ground_itself});
  const Eigen::Vector3d true_up = turn(40 * kDegree, hinge) * Eigen::Vector3d::UnitZ();
  CHECK(angle_between(tilted.scan_from_file * true_up, Eigen::Vector3d::UnitZ()) < kLevel_rad);
  REQUIRE(tilted.ground);
  CHECK(angle_between(tilted.ground->normal, Eigen::Vector3d::UnitZ()) < 1e-6);
}

TEST_CASE("a far origin keeps its place and its digits", "[orient]") {
  Cloud file = turned(log_on_ground(), kFileFromSceneYUp);
  const OrientResult near = orient(file);
  file.origin = {431'250.5, 812.25, -5'212'004.125};
  const OrientResult far = orient(file);
  CHECK(far.scan_from_file == near.scan_from_file);
  CHECK(far.cloud.points == near.cloud.points);
  CHECK((far.cloud.origin - Eigen::Vector3d(431'250.5, 5'212'004.125, 812.25)).norm() < 1e-6);
  REQUIRE(near.ground);
  REQUIRE(far.ground);
  CHECK((far.ground->point_m - far.cloud.origin - near.ground->point_m).norm() < 1e-6);
  CHECK((far.ground->normal - near.ground->normal).norm() < 1e-12);
}

TEST_CASE("the scale makes metres", "[orient]") {
  Cloud file = log_on_ground();
  for (auto& p : file.points) {
    p *= 1000;
  }
  file.origin = {2000, 0, 0};
  OrientOptions options;
  options.metres_per_unit = 0.001;
  const OrientResult result = orient(file, options);
  CHECK(result.scale == 0.001);
  CHECK((result.cloud.at(77) - 0.001 * file.at(77)).norm() < 1e-5);
  REQUIRE(result.ground);
  CHECK_THAT(result.ground->point_m.z(), WithinAbs(0.012, 0.01));
}

TEST_CASE("empty clouds and bad options", "[orient]") {
  const OrientResult nothing = orient({});
  CHECK(nothing.cloud.empty());
  CHECK(nothing.up_source.kind == UpSource::Kind::assumed);
  CHECK((nothing.scan_from_file - Eigen::Matrix3d::Identity()).norm() < 1e-12);
  Cloud one;
  one.points.emplace_back(1, 2, 3);
  CHECK(orient(one).cloud.size() == 1);
  OrientOptions options;
  options.metres_per_unit = GENERATE(0.0, -1.0, std::nan(""));
  CHECK_THROWS_AS(orient(one, options), BadUse);
  options.metres_per_unit = 1;
  options.up = GENERATE(Eigen::Vector3d(0, 0, 0), Eigen::Vector3d(0, std::nan(""), 0));
  CHECK_THROWS_AS(orient(one, options), BadUse);
}
