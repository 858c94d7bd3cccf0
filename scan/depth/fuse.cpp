#include "scan/depth/fuse.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <string>

#include "scan/depth/images.hpp"
#include "scan/depth/layout.hpp"
#include "scan/depth/voxel_mean.hpp"
#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kEdge_m = 0.003;   // finer than the grid on which the log's surface is fitted
constexpr double kNearest_m = 0.1;  // nearer than any depth camera measures
constexpr double kFarthest_m = 5;   // reach of phone depth sensors; scatter grows with the square of the way
constexpr double kSteepest = 3.7;   // tangent of 75 degrees between the view and the surface's normal
constexpr double kScatterShare =
    0.005;                             // of the depth: neighbours on a smooth surface differ by sensor noise
constexpr double kLeastCosine = 0.26;  // of 75 degrees
// A camera further from zero than this has map coordinates, whose millimetres a float would lose.
constexpr double kFarFromZero_m = 100;

/// The depths of one image in metres, with what is known of each pixel from its neighbours.
class DepthPixels {
 public:
  DepthPixels(const DepthImage& image, const Camera& camera) : image_(image), camera_(camera) {}

  double depth_m(int u, int v) const { return image_.at(u, v) / camera_.units_per_metre; }
  bool is_measured(int u, int v) const {
    constexpr std::uint16_t kNothing = 65535;  // some cameras write this where they saw nothing
    return image_.at(u, v) != 0 && image_.at(u, v) != kNothing;
  }
  Eigen::Vector3d point_m(int u, int v) const {
    const double z = depth_m(u, v);
    return {(u - camera_.cx) / camera_.fx * z, (v - camera_.cy) / camera_.fy * z, z};
  }

  /// Weight of the pixel: none if it is too near or too far, at an edge where pixels mix near and far, or
  /// seen at a grazing angle. Else the inverse variance of its depth, which grows with the square of the way
  /// (Khoshelham and Elberink 2012, "Accuracy and Resolution of Kinect Depth Data for Indoor Mapping
  /// Applications"), less at a slant. Requires: the pixel is not on the image's rim.
  double weight(int u, int v) const {
    if (!is_measured(u, v)) {
      return 0;
    }
    const double z = depth_m(u, v);
    if (z < kNearest_m || z > kFarthest_m) {
      return 0;
    }
    const double steepest_step = z / std::min(camera_.fx, camera_.fy) * kSteepest + kScatterShare * z;
    constexpr int kNeighbours[][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    for (const auto& [du, dv] : kNeighbours) {
      if (!is_measured(u + du, v + dv) || std::abs(depth_m(u + du, v + dv) - z) > steepest_step) {
        return 0;
      }
    }
    const Eigen::Vector3d across = point_m(u + 1, v) - point_m(u - 1, v);
    const Eigen::Vector3d down = point_m(u, v + 1) - point_m(u, v - 1);
    const double cosine = std::abs(across.cross(down).normalized().dot(point_m(u, v).normalized()));
    return cosine >= kLeastCosine ? cosine / (z * z * z * z) : 0;
  }

 private:
  const DepthImage& image_;
  const Camera& camera_;
};

/// The picture's colour where the depth pixel (u, v) looks: both pictures show the same view.
const Colour* colour_at(const ColourImage& picture, const DepthImage& depth, int u, int v) {
  const int column = static_cast<int>((u + 0.5) * picture.width / depth.width);
  const int row = static_cast<int>((v + 0.5) * picture.height / depth.height);
  return &picture.pixels[static_cast<std::size_t>(row) * static_cast<std::size_t>(picture.width) +
                         static_cast<std::size_t>(column)];
}

struct Tally {
  std::uint64_t measured = 0;  ///< pixels with a depth
  std::uint64_t in_reach = 0;
  std::uint64_t used = 0;
};

void fuse_view(const View& view, const DepthFolder& folder, const Eigen::Vector3d& origin_m, VoxelMean& mean,
               Tally& tally) {
  const DepthImage image = read_depth_image(view.depth);
  const Camera camera = fitted_to(folder.camera, image.width, image.height, folder.camera_file);
  const DepthPixels pixels(image, camera);
  ColourImage picture;
  if (view.colour) {
    picture = read_colour_image(*view.colour, image.width, image.height);
  }
  Eigen::Isometry3d cloud_from_camera = view.world_from_camera;
  cloud_from_camera.pretranslate(-origin_m);
  for (int v = 1; v + 1 < image.height; ++v) {
    for (int u = 1; u + 1 < image.width; ++u) {
      const bool measured = pixels.is_measured(u, v);
      tally.measured += measured ? 1 : 0;
      tally.in_reach +=
          measured && pixels.depth_m(u, v) >= kNearest_m && pixels.depth_m(u, v) <= kFarthest_m ? 1 : 0;
      const double weight = pixels.weight(u, v);
      if (weight > 0) {
        ++tally.used;
        mean.add(cloud_from_camera * pixels.point_m(u, v), weight,
                 view.colour ? colour_at(picture, image, u, v) : nullptr);
      }
    }
  }
}

void check(const std::filesystem::path& folder, const DepthFolder& views, const Tally& tally,
           std::size_t points, const ReadOptions& options) {
  constexpr double kLeastInReach = 0.05;
  if (static_cast<double>(tally.in_reach) < kLeastInReach * static_cast<double>(tally.measured)) {
    fail(views.camera_file,
         "gives hardly a depth between 100 mm and 5 m, the reach of depth cameras: check depth_scale, the "
         "depth "
         "units a metre (1000 for millimetres)");
  }
  if (points < options.fewest_points) {
    fail(folder, "gives only " + grouped(points) + (points == 1 ? " point" : " points") +
                     ", too few to show a log: export all images of the scan");
  }
}

void check_reach(const View& view, const Eigen::Vector3d& origin_m) {
  constexpr double kFarthestWalk_m = 1000;
  if (!((view.world_from_camera.translation() - origin_m).norm() <= kFarthestWalk_m)) {
    fail(view.depth,
         "has its pose over 1 km from that of the first image: the poses must be in metres; export them "
         "again");
  }
}

}  // namespace

ReadResult read_depth_folder(const std::filesystem::path& folder, const ReadOptions& options) {
  const DepthFolder found = find_views(folder);
  Eigen::Vector3d origin_m = Eigen::Vector3d::Zero();
  if (found.views.front().world_from_camera.translation().norm() > kFarFromZero_m) {
    origin_m = found.views.front().world_from_camera.translation().array().round();
  }
  VoxelMean mean(kEdge_m, options.max_points);
  Tally tally;
  std::size_t coloured = 0;
  for (const View& view : found.views) {
    check_reach(view, origin_m);
    fuse_view(view, found, origin_m, mean, tally);
    coloured += view.colour ? 1 : 0;
  }
  check(folder, found, tally, mean.size(), options);
  ReadResult result;
  result.cloud = mean.cloud(2 * coloured >= found.views.size());
  result.cloud.origin = origin_m;
  result.format.kind = FileFormat::Kind::depth_images;
  result.format.parts = found.views.size();
  result.format.without_pose = found.without_pose;
  result.points_read = tally.used;
  result.grid = mean.edge();
  return result;
}

}  // namespace flitchwise::scan
