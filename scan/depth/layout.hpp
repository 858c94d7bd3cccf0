#pragma once
/// The files of a folder of depth images: which depth image, colour picture and pose belong together.

#include <Eigen/Geometry>
#include <filesystem>
#include <optional>
#include <vector>

#include "scan/depth/camera.hpp"

namespace flitchwise::scan {

/// A depth image with what belongs to it.
struct View {
  std::filesystem::path depth;
  std::optional<std::filesystem::path> colour;
  Eigen::Isometry3d world_from_camera = Eigen::Isometry3d::Identity();
};

struct DepthFolder {
  std::vector<View> views;       ///< at least one, in the order of their times
  std::size_t without_pose = 0;  ///< depth images that were left out for want of a pose
  Camera camera;                 ///< as its file states it
  std::filesystem::path camera_file;
};

/// Whether the folder looks like depth images, complete or not: by its depth images' folder or list, or its
/// poses.
bool is_depth_folder(const std::filesystem::path& folder);

/// Throws InputError (one sentence) if the folder holds no depth images, no poses, no camera file, or if the
/// poses do not match the images.
DepthFolder find_views(const std::filesystem::path& folder);

}  // namespace flitchwise::scan
