/// plan.json can be laid over the scan in any point viewer: its `frame` leads to the coordinates of the file
/// as given.

#include <Eigen/Core>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "tests/tools/made_scans.hpp"
#include "tests/tools/run_flitchwise.hpp"

namespace flitchwise::testing {
namespace {

using Json = nlohmann::json;

Eigen::Vector3d vector_of(const Json& json) {
  return {json[0].get<double>(), json[1].get<double>(), json[2].get<double>()};
}

/// The coordinates in a text file of x y z a line, whatever follows them.
Points points_of(const std::string& xyz) {
  Points points;
  std::istringstream lines(xyz);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    Eigen::Vector3d point;
    if (words >> point.x() >> point.y() >> point.z()) {
      points.push_back(point);
    }
  }
  return points;
}

std::string text_of(const Points& points) {
  std::ostringstream text;
  for (const Eigen::Vector3d& p : points) {
    text << p.x() << ' ' << p.y() << ' ' << p.z() << '\n';
  }
  return text.str();
}

/// Where a point in millimetres of the log frame lies in the file.
using ToFile = std::function<Eigen::Vector3d(const Eigen::Vector3d&)>;

ToFile to_file(const Json& frame) {
  Eigen::Matrix3d axes;
  for (Eigen::Index i = 0; i < 3; ++i) {
    axes.col(i) = vector_of(frame["axes_file"][static_cast<std::size_t>(i)]);
  }
  const Eigen::Vector3d origin = vector_of(frame["origin_file"]);
  const double units = frame["file_units_per_mm"].get<double>();
  return
      [=](const Eigen::Vector3d& in_log_mm) { return Eigen::Vector3d(origin + units * (axes * in_log_mm)); };
}

/// Share of the plan's seen bark, at some stations and angles, at which the file has a point within `reach`.
double share_with_points(const Json& plan, const Points& in_file, const ToFile& to_file, double reach) {
  int asked = 0;
  int found = 0;
  const Json& stations = plan["log"]["stations"];
  for (std::size_t i = 5; i + 5 < stations.size(); i += 10) {
    const Json& radii = stations[i]["bark_radius_mm"];
    for (std::size_t k = 0; k < radii.size(); k += 9) {
      if (stations[i]["seen"][k] == 0) {
        continue;
      }
      const double theta = 2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(radii.size());
      const double radius_mm = radii[k].get<double>();
      const Eigen::Vector3d bark =
          to_file({stations[i]["x_mm"].get<double>(),
                   stations[i]["centre_mm"][0].get<double>() + radius_mm * std::cos(theta),
                   stations[i]["centre_mm"][1].get<double>() + radius_mm * std::sin(theta)});
      ++asked;
      found += std::any_of(in_file.begin(), in_file.end(),
                           [&](const Eigen::Vector3d& p) { return (p - bark).norm() < reach; })
                   ? 1
                   : 0;
    }
  }
  REQUIRE(asked > 50);
  return static_cast<double>(found) / asked;
}

constexpr double kReach_mm = 20;      // the scan's spacing with its noise
constexpr double kLeastShare = 0.97;  // a stub or a lump hides a few
constexpr double kTooLarge = 1.03;    // a scan without a tape's scale

Json planned(const Folder& folder, const std::vector<std::string>& more) {
  const Run run = plan(folder / "scan.xyz", folder / "out", more);
  INFO(run.trouble);
  REQUIRE(run.exit_code == 0);
  return Json::parse(content(folder / "out/plan.json"));
}

void simulate_as(const Folder& folder, const std::vector<std::string>& more) {
  std::vector<std::string> arguments = short_log_arguments();
  arguments.insert(arguments.begin(), "simulate");
  arguments.insert(arguments.end(), {"--format", "xyz", folder / "scan.xyz"});
  arguments.insert(arguments.end(), more.begin(), more.end());
  REQUIRE(run_flitchwise(arguments).exit_code == 0);
}

void check_bark(const Folder& folder, const Json& plan) {
  const double units = plan["frame"]["file_units_per_mm"].get<double>();
  const Points in_file = points_of(content(folder / "scan.xyz"));
  CHECK(share_with_points(plan, in_file, to_file(plan["frame"]), kReach_mm * units) > kLeastShare);
}

TEST_CASE("plan.json's frame leads to the bark in a file that is y-up", "[file_frame]") {
  const Folder folder;
  simulate_as(folder, {"--y-up"});
  const Json plan = planned(folder, {"--up", "y"});
  check_bark(folder, plan);
  CHECK(plan["frame"]["file_units_per_mm"].get<double>() == 0.001);
  // The scan frame is not the file's here: what lies at its coordinates in the file is no bark.
  Json turned = plan["frame"];
  turned["axes_file"] = turned["axes_scan"];
  const Points in_file = points_of(content(folder / "scan.xyz"));
  CHECK(share_with_points(plan, in_file, to_file(turned), kReach_mm / 1000) < 0.5);
}

TEST_CASE("plan.json's frame leads to the bark in a file in millimetres", "[file_frame]") {
  const Folder folder;
  simulate_as(folder, {"--units", "mm"});
  const Json plan = planned(folder, {"--unit", "mm"});
  check_bark(folder, plan);
  CHECK(plan["frame"]["file_units_per_mm"].get<double>() == 1);
}

TEST_CASE("plan.json's frame leads to the bark in a file that shows the log too large", "[file_frame]") {
  const Folder folder;
  simulate_as(folder, {});
  Points points = points_of(content(folder / "scan.xyz"));
  for (Eigen::Vector3d& p : points) {
    p *= kTooLarge;
  }
  folder.write("scan.xyz", text_of(points));
  const Json plan = planned(folder, {"--scale-length", std::to_string(kShortLogLength_mm)});
  check_bark(folder, plan);
  // Within 0.3 %: the ends are found to a few millimetres in 2600.
  CHECK_THAT(plan["frame"]["file_units_per_mm"].get<double>() / 0.001,
             Catch::Matchers::WithinRel(kTooLarge, 0.003));
}

}  // namespace
}  // namespace flitchwise::testing
