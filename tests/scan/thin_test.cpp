#include "scan/read/thin.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <random>
#include <tuple>

#include "scan/model/errors.hpp"

namespace {

using namespace flitchwise;
using scan::Cloud;

constexpr double kFloat_m = 1e-6;  // float offsets of a metre or two

Cloud random_cloud(std::size_t count, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<float> uniform(-1.5F, 1.5F);
  Cloud cloud;
  for (std::size_t i = 0; i < count; ++i) {
    cloud.points.emplace_back(uniform(random), uniform(random), uniform(random));
  }
  return cloud;
}

using Key = std::tuple<int, int, int>;
Key key_of(const Eigen::Vector3f& p, float edge) {
  const Eigen::Array3i cell = (p.array() / edge).floor().cast<int>();
  return {cell.x(), cell.y(), cell.z()};
}

}  // namespace

TEST_CASE("thinning gives the mean of each cell, in the order of first points", "[thin]") {
  Cloud cloud;
  cloud.points = {{0.1F, 0.1F, 0.1F},  {1.2F, 0.1F, 0.1F}, {0.3F, 0.5F, 0.7F},
                  {-0.1F, 0.2F, 0.3F}, {1.4F, 0.3F, 0.5F}, {0.2F, 0.3F, 0.1F}};
  cloud.colours.assign(cloud.size(), {1, 2, 3});
  const Cloud thinned = scan::thin(cloud, 1.0);
  REQUIRE(thinned.size() == 3);
  CHECK((thinned.points[0] - Eigen::Vector3f(0.2F, 0.3F, 0.3F)).norm() < kFloat_m);
  CHECK((thinned.points[1] - Eigen::Vector3f(1.3F, 0.2F, 0.3F)).norm() < kFloat_m);
  CHECK((thinned.points[2] - Eigen::Vector3f(-0.1F, 0.2F, 0.3F)).norm() < kFloat_m);  // floor, not truncation
  CHECK(thinned.colours.empty());
}

TEST_CASE("thinning agrees with a map of sums", "[thin]") {
  constexpr float kEdge = 0.25F;
  const Cloud cloud = random_cloud(20'000, 3);
  std::map<Key, std::pair<Eigen::Vector3d, int>> sums;
  std::vector<Key> order;
  for (const auto& p : cloud.points) {
    const Key key = key_of(p, kEdge);
    const auto [at, is_new] = sums.try_emplace(key, Eigen::Vector3d::Zero(), 0);
    at->second.first += p.cast<double>();
    at->second.second += 1;
    if (is_new) {
      order.push_back(key);
    }
  }
  const Cloud thinned = scan::thin(cloud, kEdge);
  REQUIRE(thinned.size() == sums.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    const auto& [sum, count] = sums.at(order[i]);
    REQUIRE((thinned.points[i].cast<double>() - sum / count).norm() < kFloat_m);
  }
}

TEST_CASE("thinning works in the cloud's own offsets, however far its origin", "[thin]") {
  Cloud cloud = random_cloud(2000, 4);
  const Cloud near = scan::thin(cloud, 0.3);
  cloud.origin = {4'512'345.678, 5'312'345.123, 812.5};
  const Cloud far = scan::thin(cloud, 0.3);
  CHECK(far.origin == cloud.origin);
  CHECK(far.points == near.points);
}

TEST_CASE("thinning an empty cloud, one point and equal points", "[thin]") {
  CHECK(scan::thin({}, 0.1).empty());
  Cloud cloud;
  cloud.points.assign(1, {0.25F, -3, 7});
  CHECK(scan::thin(cloud, 0.1).points == cloud.points);
  cloud.points.assign(1000, {0.25F, -3, 7});
  const Cloud one = scan::thin(cloud, 0.1);
  REQUIRE(one.size() == 1);
  CHECK(one.points[0] == cloud.points[0]);
}

TEST_CASE("thinning needs a positive edge", "[thin]") {
  CHECK_THROWS_AS(scan::thin({}, 0), BadUse);
  CHECK_THROWS_AS(scan::thin({}, -0.1), BadUse);
  CHECK_THROWS_AS(scan::thin({}, std::nan("")), BadUse);
}

TEST_CASE("cells keep their numbers while the index grows", "[thin]") {
  scan::CellIndex index(0);
  constexpr std::int32_t kSide = 40;
  std::uint32_t expected = 0;
  for (std::int32_t x = -kSide; x < kSide; ++x) {
    for (std::int32_t y = -kSide; y < kSide; ++y) {
      REQUIRE(index.find_or_add(x, y, x - y) == expected);
      ++expected;
    }
  }
  REQUIRE(index.size() == expected);
  expected = 0;
  for (std::int32_t x = -kSide; x < kSide; ++x) {
    for (std::int32_t y = -kSide; y < kSide; ++y) {
      REQUIRE(index.find_or_add(x, y, x - y) == expected);
      ++expected;
    }
  }
  CHECK(index.size() == expected);
  CHECK(index.find_or_add(0, 0, 1) == expected);  // one coordinate differs: another cell
}
