#pragma once
/// Where the camera stood.

#include <Eigen/Geometry>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace flitchwise::scan {

struct Pose {
  double time = 0;  ///< seconds, or a running number
  Eigen::Isometry3d world_from_camera = Eigen::Isometry3d::Identity();
};

/// Lines `timestamp tx ty tz qx qy qz qw` (more columns are ignored, # starts a comment), sorted by time.
/// Throws InputError (one sentence, with the line) if a line has not eight numbers or no rotation.
std::vector<Pose> read_poses(const std::filesystem::path& file);

/// The pose at this time: one with the same time, else between its two neighbours if they are near in time,
/// else the nearest if it is nearer still; empty if none will do. Requires: sorted by time.
std::optional<Eigen::Isometry3d> pose_at(const std::vector<Pose>& poses, double time);

/// A line `timestamp file` of a list of images.
struct ListedImage {
  double time = 0;
  std::string file;
};

/// Throws InputError (one sentence, with the line) if a line is not of this form.
std::vector<ListedImage> read_image_list(const std::filesystem::path& file);

/// Times that differ by less are one: lists hold six digits, and a double of nanoseconds about as many.
bool same_time(double a, double b);

/// Pictures and poses further apart in time do not belong together, in seconds. The value that the tools of
/// the TUM RGB-D benchmark associate by (Sturm et al. 2012, associate.py).
constexpr double kMostTimeOff = 0.02;

}  // namespace flitchwise::scan
