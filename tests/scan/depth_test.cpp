/// Depth images of an exact scene: a cylinder log on flat ground, seen by a pinhole from poses around it. The
/// pictures are written by OpenCV, which shares no code with the reader.

#include <unistd.h>

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <numbers>
#include <opencv2/imgcodecs.hpp>
#include <string>

#include "scan/model/errors.hpp"
#include "scan/read_scan.hpp"

namespace flitchwise::scan {
namespace {

namespace fs = std::filesystem;
using Catch::Matchers::Contains;
using std::numbers::pi;

constexpr double kRadius_m = 0.16;
constexpr double kHalfLength_m = 1.1;
constexpr double kAxisHeight_m = 0.3;
constexpr int kWidth = 160;
constexpr int kHeight = 120;
constexpr double kFocal = 130;
constexpr double kCx = 81.2;
constexpr double kCy = 58.7;

/// Distance along a ray to the log or the ground; 0 if it meets neither.
double hit(const Eigen::Vector3d& from, const Eigen::Vector3d& along) {
  double nearest = along.z() < 0 ? -from.z() / along.z() : 0;
  const Eigen::Vector2d p(from.y(), from.z() - kAxisHeight_m);
  const Eigen::Vector2d d(along.y(), along.z());
  const double half_b = p.dot(d);
  const double root = half_b * half_b - d.squaredNorm() * (p.squaredNorm() - kRadius_m * kRadius_m);
  if (root > 0) {
    const double t = (-half_b - std::sqrt(root)) / d.squaredNorm();
    if (t > 0 && std::abs(from.x() + t * along.x()) < kHalfLength_m && (nearest == 0 || t < nearest)) {
      nearest = t;
    }
  }
  return nearest;
}

double distance_to_scene(const Eigen::Vector3d& p) {
  const double across = std::hypot(p.y(), p.z() - kAxisHeight_m);
  const double to_log = std::hypot(across - kRadius_m, std::max(0.0, std::abs(p.x()) - kHalfLength_m));
  return std::min(to_log, std::abs(p.z()));
}

/// The k-th of n cameras on a ring about the log, looking at it; x right, y down, z forward.
Eigen::Isometry3d camera(int k, int n) {
  const double angle = 2 * pi * k / n;
  const Eigen::Vector3d place(1.3 * std::cos(angle), 1.3 * std::sin(angle), 1.1);
  const Eigen::Vector3d forward = (Eigen::Vector3d(0, 0, 0.25) - place).normalized();
  const Eigen::Vector3d right = forward.cross(Eigen::Vector3d::UnitZ()).normalized();
  Eigen::Isometry3d pose = Eigen::Isometry3d::Identity();
  pose.linear() << right, forward.cross(right), forward;
  pose.translation() = place;
  return pose;
}

cv::Mat render(const Eigen::Isometry3d& pose, double units_per_metre) {
  cv::Mat image(kHeight, kWidth, CV_16UC1);
  for (int v = 0; v < kHeight; ++v) {
    for (int u = 0; u < kWidth; ++u) {
      const Eigen::Vector3d ray((u - kCx) / kFocal, (v - kCy) / kFocal, 1);
      const double depth = hit(pose.translation(), pose.linear() * ray) * units_per_metre;
      image.at<std::uint16_t>(v, u) =
          depth < 65000 ? static_cast<std::uint16_t>(std::lround(depth)) : std::uint16_t{0};
    }
  }
  return image;
}

/// How a folder is laid out and what is wrong with it.
struct Layout {
  int images = 12;
  double units_per_metre = 1000;
  std::string depth_folder = "depth/";
  std::function<std::string(int)> name = [](int k) { return std::to_string(100 + k) + ".5"; };
  std::function<double(int)> time = [](int k) { return 100.5 + k; };
  std::string pose_file = "poses.txt";
  std::string camera_file = "intrinsics.json";
  std::string camera = R"({"fx": 130, "fy": 130, "cx": 81.2, "cy": 58.7, "width": 160, "height": 120})";
  std::string colour_folder;  ///< empty: no colour
  int colour_scale = 1;
  Eigen::Vector3d world = Eigen::Vector3d::Zero();
};

class Folder {
 public:
  explicit Folder(const Layout& layout)
      : path_(fs::temp_directory_path() / ("flitchwise_depth_" + std::to_string(::getpid()))) {
    fs::remove_all(path_);
    fs::create_directories(path_ / layout.depth_folder);
    fs::create_directories(path_ / layout.colour_folder);
    std::string poses = "# timestamp tx ty tz qx qy qz qw\n";
    for (int k = 0; k < layout.images; ++k) {
      const Eigen::Isometry3d pose = camera(k, layout.images);
      cv::imwrite((path_ / layout.depth_folder / (layout.name(k) + ".png")).string(),
                  render(pose, layout.units_per_metre));
      if (!layout.colour_folder.empty()) {  // OpenCV's order: blue, green, red
        const cv::Mat colour(kHeight * layout.colour_scale, kWidth * layout.colour_scale, CV_8UC3,
                             cv::Scalar(30, 60, 120));
        cv::imwrite((path_ / layout.colour_folder / (layout.name(k) + ".png")).string(), colour);
      }
      const Eigen::Quaterniond q(pose.linear());
      const Eigen::Vector3d t = pose.translation() + layout.world;
      poses += std::to_string(layout.time(k));
      for (const double n : {t.x(), t.y(), t.z(), q.x(), q.y(), q.z(), q.w()}) {
        poses += ' ' + std::to_string(n);
      }
      poses += '\n';
    }
    write(layout.pose_file, poses);
    write(layout.camera_file, layout.camera);
  }
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  const fs::path& path() const { return path_; }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(path_ / name, std::ios::binary) << text;
  }
  std::string failure() const {
    try {
      read(path_);
    } catch (const InputError& error) {
      return error.what();
    }
    return "read";
  }

 private:
  fs::path path_;
};

double worst_distance(const Cloud& cloud, const Eigen::Vector3d& world = Eigen::Vector3d::Zero()) {
  double worst = 0;
  for (std::size_t i = 0; i < cloud.size(); ++i) {
    worst = std::max(worst, distance_to_scene(cloud.at(i) - world));
  }
  return worst;
}

TEST_CASE("fused depth images lie on the surfaces that were seen", "[depth]") {
  const Folder folder({});
  const ReadResult result = read(folder.path());
  // Half a millimetre of rounding along a ray at the most, poses to six digits, and nothing at all between
  // log and ground, where a camera's pixels mix both.
  CHECK(worst_distance(result.cloud) < 0.0008);
  CHECK(result.format.kind == FileFormat::Kind::depth_images);
  CHECK(result.format.parts == 12);
  CHECK(result.points_read > 40'000);
  CHECK(result.cloud.size() > 20'000);
  CHECK(result.cloud.colours.empty());
  // All round the log but below: by eight sectors of its outline.
  std::vector<int> sectors(8);
  for (std::size_t i = 0; i < result.cloud.size(); ++i) {
    const Eigen::Vector3d p = result.cloud.at(i);
    if (std::abs(std::hypot(p.y(), p.z() - kAxisHeight_m) - kRadius_m) < 0.002 &&
        std::abs(p.x()) < kHalfLength_m) {
      const double angle = std::atan2(p.z() - kAxisHeight_m, p.y());
      ++sectors[static_cast<std::size_t>((angle + pi) / (2 * pi) * 7.999)];
    }
  }
  CHECK(std::count_if(sectors.begin(), sectors.end(), [](int n) { return n > 200; }) >= 6);
}

TEST_CASE("pixels at depth edges would be far off if they were kept", "[depth]") {
  // A camera blurs depth over an edge: such pixels lie between log and ground.
  Layout layout;
  const Folder folder(layout);
  for (int k = 0; k < layout.images; ++k) {
    cv::Mat image = render(camera(k, layout.images), 1000);
    const cv::Mat sharp = image.clone();
    for (int v = 0; v < kHeight; ++v) {
      for (int u = 1; u + 1 < kWidth; ++u) {
        image.at<std::uint16_t>(v, u) = static_cast<std::uint16_t>(
            (sharp.at<std::uint16_t>(v, u - 1) + sharp.at<std::uint16_t>(v, u + 1)) / 2);
      }
    }
    cv::imwrite((folder.path() / "depth" / (layout.name(k) + ".png")).string(), image);
  }
  // What is left is the blur of the round surface itself, not the 100 mm and more of a mixed pixel.
  CHECK(worst_distance(read(folder.path()).cloud) < 0.015);
}

TEST_CASE("the usual layouts of depth images are understood", "[depth]") {
  SECTION("lists of images, poses from elsewhere, 5000 units a metre") {
    Layout layout;
    layout.units_per_metre = 5000;
    layout.pose_file = "groundtruth.txt";
    layout.camera_file = "camera.txt";
    layout.camera = "# fx fy cx cy width height depth_scale\n130 130 81.2 58.7 160 120 5000\n";
    layout.name = [](int k) { return "shot" + std::string(1, static_cast<char>('a' + k)); };
    layout.time = [](int k) { return 1305031102.175304 + k; };
    const Folder folder(layout);
    std::string list;
    for (int k = 0; k < layout.images; ++k) {
      list += std::to_string(layout.time(k) + 0.004) + " depth/" + layout.name(k) + ".png\r\n";
    }
    folder.write("depth.txt", "# depth maps\r\n" + list);
    CHECK(worst_distance(read(folder.path()).cloud) < 0.0004);
  }
  SECTION("everything in one folder, running numbers, colour beside it") {
    Layout layout;
    layout.depth_folder = "";
    layout.name = [](int k) { return "frame-00000" + std::to_string(k) + ".depth"; };
    layout.time = [](int k) { return k; };
    layout.images = 8;
    layout.camera_file = "camera.json";
    layout.camera =
        R"({"width":160,"height":120,"intrinsic_matrix":[130,0,0,0,130,0,81.2,58.7,1],"depth_scale":1000.0})";
    const Folder folder(layout);
    CHECK(worst_distance(read(folder.path()).cloud) < 0.0008);
  }
  SECTION("figures for a larger picture, metres a unit, named numbers") {
    Layout layout;
    layout.camera_file = "intrinsics.txt";
    layout.camera =
        "fx = 260\nfy = 260\ncx = 162.9\ncy = 117.9\nwidth: 320\nheight: 240\ndepth_scale: 0.001\n";
    const Folder folder(layout);
    CHECK(worst_distance(read(folder.path()).cloud) < 0.0008);
  }
  SECTION("names without numbers, poses by order") {
    Layout layout;
    layout.name = [](int k) { return std::string(1, static_cast<char>('a' + k)); };
    const Folder folder(layout);
    CHECK(worst_distance(read(folder.path()).cloud) < 0.0008);
  }
  SECTION("map coordinates") {
    Layout layout;
    layout.world = {691000, 5330000, 540};
    const Folder folder(layout);
    CHECK(worst_distance(read(folder.path()).cloud, layout.world) < 0.0008);
  }
}

TEST_CASE("a colour picture beside the depth image gives the points' colour", "[depth]") {
  Layout layout;
  layout.images = 4;
  layout.colour_folder = "rgb/";
  layout.colour_scale = GENERATE(1, 3);
  const Folder folder(layout);
  const ReadResult result = read(folder.path());
  REQUIRE(result.cloud.colours.size() == result.cloud.size());
  CHECK(std::all_of(result.cloud.colours.begin(), result.cloud.colours.end(), [](const Colour& c) {
    return c == Colour{120, 60, 30};
  }));
}

TEST_CASE("depth images are thinned as far as asked", "[depth]") {
  const Folder folder({});
  ReadOptions options;
  options.max_points = 3000;
  const ReadResult result = read(folder.path(), options);
  CHECK(result.cloud.size() <= 3000);
  CHECK(result.cloud.size() > 500);
  CHECK(result.grid > 0.003);
}

TEST_CASE("what is wrong with depth images is said in one sentence", "[depth]") {
  Layout layout;
  layout.images = 3;
  SECTION("no poses") {
    const Folder folder(layout);
    fs::remove(folder.path() / "poses.txt");
    CHECK_THAT(folder.failure(), Contains("no poses.txt"));
  }
  SECTION("no intrinsics") {
    const Folder folder(layout);
    fs::remove(folder.path() / "intrinsics.json");
    CHECK_THAT(folder.failure(), Contains("no intrinsics.json"));
  }
  SECTION("no images") {
    const Folder folder(layout);
    fs::remove_all(folder.path() / "depth");
    CHECK_THAT(folder.failure(), Contains("holds no depth images"));
  }
  SECTION("poses of another walk") {
    layout.time = [](int k) { return 5000.0 + k; };
    CHECK_THAT(Folder(layout).failure(), Contains("a pose for only 0 of the 3 depth images"));
  }
  SECTION("a quaternion of no length") {
    const Folder folder(layout);
    folder.write("poses.txt", "100.5 0 0 0 0 0 0 1\n101.5 0 0 0 0 0 0 0\n102.5 0 0 0 0 0 0 1\n");
    CHECK_THAT(folder.failure(), Contains("no rotation in line 2"));
  }
  SECTION("a pose that is none") {
    const Folder folder(layout);
    folder.write("poses.txt", "100.5 0 0 0 0 0 1\n");
    CHECK_THAT(folder.failure(), Contains("no pose in line 1"));
  }
  SECTION("eight bits") {
    const Folder folder(layout);
    cv::imwrite((folder.path() / "depth" / "101.5.png").string(), cv::Mat(kHeight, kWidth, CV_8UC1, 40));
    CHECK_THAT(folder.failure(), Contains("8 bits a pixel"));
  }
  SECTION("a picture cut short") {
    const Folder folder(layout);
    fs::resize_file(folder.path() / "depth" / "101.5.png", 200);
    CHECK_THAT(folder.failure(), Contains("damaged"));
  }
  SECTION("figures for another shape") {
    layout.camera = R"({"fx": 130, "fy": 130, "cx": 81, "cy": 58, "width": 160, "height": 90})";
    CHECK_THAT(Folder(layout).failure(), Contains("another shape"));
  }
  SECTION("figures missing") {
    layout.camera = R"({"fx": 130, "fy": 130, "cx": 81})";
    CHECK_THAT(Folder(layout).failure(), Contains("lacks a positive fx, fy, cx or cy"));
  }
  SECTION("a distorted lens") {
    layout.camera = R"({"fx": 130, "fy": 130, "cx": 81, "cy": 58, "distortion": [0.1, -0.2, 0, 0, 0]})";
    CHECK_THAT(Folder(layout).failure(), Contains("lens distortion"));
  }
  SECTION("a wrong depth scale") {
    layout.camera = R"({"fx": 130, "fy": 130, "cx": 81, "cy": 58, "depth_scale": 50})";
    CHECK_THAT(Folder(layout).failure(), Contains("check depth_scale"));
  }
  SECTION("no JSON") {
    layout.camera = R"({"fx": 130, "fy")";
    CHECK_THAT(Folder(layout).failure(), Contains("no sound JSON"));
  }
}

}  // namespace
}  // namespace flitchwise::scan
