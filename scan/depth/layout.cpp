#include "scan/depth/layout.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <span>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include "scan/depth/poses.hpp"
#include "scan/model/numbers.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/fields.hpp"

namespace flitchwise::scan {
namespace {

namespace fs = std::filesystem;
using Names = std::span<const std::string_view>;

constexpr auto kDepthFolders =
    std::to_array<std::string_view>({"depth", "depths", "depth_images", "depth_maps", "depthmaps"});
constexpr auto kColourFolders = std::to_array<std::string_view>(
    {"rgb", "color", "colour", "colors", "colours", "image", "images", "rgb_images"});
constexpr auto kPoseFiles =
    std::to_array<std::string_view>({"poses.txt", "groundtruth.txt", "pose.txt", "trajectory.txt", "traj.txt",
                                     "camera_poses.txt", "cameratrajectory.txt", "poses.tum"});
constexpr auto kCameraFiles = std::to_array<std::string_view>(
    {"intrinsics.json", "camera.json", "camera_intrinsics.json", "calibration.json", "intrinsics.txt",
     "camera.txt", "camera_intrinsics.txt", "calibration.txt"});
constexpr auto kDepthLists = std::to_array<std::string_view>({"depth.txt"});
constexpr auto kColourLists = std::to_array<std::string_view>({"rgb.txt", "color.txt", "colour.txt"});
constexpr auto kDepthEndings = std::to_array<std::string_view>({".png"});
constexpr auto kColourEndings = std::to_array<std::string_view>({".png", ".jpg", ".jpeg"});
// Fewer images with a pose than this mean that the list is another walk's, not one that began a little late.
constexpr double kLeastPosed = 0.5;

struct Picture {
  fs::path file;
  std::string stem;            ///< lower case, without the words for depth and colour
  std::optional<double> time;  ///< from the list, or the number in the name
};

bool is_any(std::string_view name, Names of) {
  return std::find(of.begin(), of.end(), name) != of.end();
}

/// The entry of a folder with the first of these names that is there, in whatever case.
std::optional<fs::path> entry(const fs::path& folder, Names names, bool directory) {
  for (const std::string_view name : names) {
    for (const fs::directory_entry& there : fs::directory_iterator(folder)) {
      if (there.is_directory() == directory && lower_case(there.path().filename().string()) == name) {
        return there.path();
      }
    }
  }
  return std::nullopt;
}

/// The longest run of digits, with a decimal point between digits, as a number: "frame-000012.depth" is 12,
/// "1305031102.160407" a time.
std::optional<double> number_in(std::string_view name) {
  const auto digit = [&](std::size_t i) {
    return i < name.size() && std::isdigit(static_cast<unsigned char>(name[i])) != 0;
  };
  std::string_view longest;
  for (std::size_t i = 0; i < name.size(); ++i) {
    std::size_t end = i;
    bool point = false;
    while (digit(end) || (!point && end > i && end < name.size() && name[end] == '.' && digit(end + 1))) {
      point = point || name[end] == '.';
      ++end;
    }
    if (end - i > longest.size()) {
      longest = name.substr(i, end - i);
    }
    i = std::max(i, end);
  }
  double number = 0;
  const char* const stop = read_double(longest.data(), longest.data() + longest.size(), number);
  return stop != nullptr ? std::optional(number) : std::nullopt;
}

std::string plain_stem(const fs::path& file) {
  std::string stem = lower_case(file.stem().string());
  for (const std::string_view word : {"depth", "colour", "color", "rgb"}) {
    for (std::size_t at = stem.find(word); at != std::string::npos; at = stem.find(word)) {
      stem.erase(at, word.size());
    }
  }
  std::erase_if(stem, [](unsigned char c) { return std::isalnum(c) == 0 && c != '.'; });
  while (!stem.empty() && stem.back() == '.') {
    stem.pop_back();
  }
  return stem;
}

bool names_colour(const fs::path& file) {
  const std::string name = lower_case(file.stem().string());
  return name.find("rgb") != std::string::npos || name.find("color") != std::string::npos ||
         name.find("colour") != std::string::npos;
}

/// The pictures of a folder with one of these endings that `wanted` holds for, by number and name.
template <typename Wanted>
std::vector<Picture> pictures_in(const fs::path& folder, Names endings, const Wanted& wanted) {
  std::vector<Picture> pictures;
  for (const fs::directory_entry& there : fs::directory_iterator(folder)) {
    const fs::path& file = there.path();
    if (there.is_regular_file() && is_any(lower_case(file.extension().string()), endings) && wanted(file)) {
      pictures.push_back({file, plain_stem(file), number_in(file.stem().string())});
    }
  }
  std::sort(pictures.begin(), pictures.end(), [](const Picture& a, const Picture& b) {
    return std::pair(a.time.value_or(0), a.file) < std::pair(b.time.value_or(0), b.file);
  });
  return pictures;
}

/// The pictures of a list that are there; a list may name more than were exported.
std::vector<Picture> listed(const fs::path& folder, const fs::path& list) {
  std::vector<Picture> pictures;
  for (const ListedImage& image : read_image_list(list)) {
    const fs::path file = folder / image.file;
    if (fs::is_regular_file(file)) {
      pictures.push_back({file, plain_stem(file), image.time});
    }
  }
  std::stable_sort(pictures.begin(), pictures.end(),
                   [](const Picture& a, const Picture& b) { return a.time < b.time; });
  return pictures;
}

std::vector<Picture> depth_pictures(const fs::path& folder) {
  if (const auto list = entry(folder, kDepthLists, false)) {
    if (auto pictures = listed(folder, *list); !pictures.empty()) {
      return pictures;
    }
  }
  if (const auto inside = entry(folder, kDepthFolders, true)) {
    return pictures_in(*inside, kDepthEndings, [](const fs::path&) { return true; });
  }
  auto named = pictures_in(folder, kDepthEndings, [](const fs::path& file) {
    return lower_case(file.stem().string()).find("depth") != std::string::npos;
  });
  return named.empty()
             ? pictures_in(folder, kDepthEndings, [](const fs::path& file) { return !names_colour(file); })
             : named;
}

std::vector<Picture> colour_pictures(const fs::path& folder) {
  if (const auto list = entry(folder, kColourLists, false)) {
    if (auto pictures = listed(folder, *list); !pictures.empty()) {
      return pictures;
    }
  }
  if (const auto inside = entry(folder, kColourFolders, true)) {
    return pictures_in(*inside, kColourEndings, [](const fs::path&) { return true; });
  }
  return pictures_in(folder, kColourEndings, names_colour);
}

/// The colour picture with the same stem, else the nearest in time if it is near enough.
std::optional<fs::path> beside(const Picture& depth, const std::vector<Picture>& colours) {
  const Picture* nearest = nullptr;
  for (const Picture& colour : colours) {
    if (colour.stem == depth.stem) {
      return colour.file;
    }
    if (depth.time && colour.time &&
        (nearest == nullptr ||
         std::abs(*colour.time - *depth.time) < std::abs(*nearest->time - *depth.time))) {
      nearest = &colour;
    }
  }
  if (nearest == nullptr || std::abs(*nearest->time - *depth.time) > kMostTimeOff) {
    return std::nullopt;
  }
  return nearest->file;
}

/// By time; where no image's name holds a time of the list, by order if there are as many.
std::vector<std::optional<Eigen::Isometry3d>> poses_of(const std::vector<Picture>& images,
                                                       const std::vector<Pose>& poses, const fs::path& file) {
  std::vector<std::optional<Eigen::Isometry3d>> found;
  std::size_t posed = 0;
  for (const Picture& image : images) {
    found.push_back(image.time ? pose_at(poses, *image.time) : std::nullopt);
    posed += found.back() ? 1 : 0;
  }
  const bool by_order =
      posed == 0 && poses.size() == images.size() &&
      std::none_of(images.begin(), images.end(), [](const Picture& image) { return image.time.has_value(); });
  for (std::size_t i = 0; by_order && i < images.size(); ++i) {
    found[i] = poses[i].world_from_camera;
    ++posed;
  }
  if (static_cast<double>(posed) < kLeastPosed * static_cast<double>(images.size())) {
    fail(file, "has a pose for only " + grouped(posed) + " of the " + grouped(images.size()) +
                   " depth images: its timestamps must be those of the images (in their names or in "
                   "depth.txt); export images and poses together");
  }
  return found;
}

[[noreturn]] void fail_no_views(const fs::path& folder) {
  fail(folder,
       "is a directory, not a scan: name a file in it, or a folder of depth images with depth/ (grey PNG of "
       "16 "
       "bits), poses.txt and intrinsics.json");
}

DepthFolder find_views_in(const fs::path& folder) {
  if (!is_depth_folder(folder)) {
    fail_no_views(folder);
  }
  const auto pose_file = entry(folder, kPoseFiles, false);
  const std::vector<Picture> images = depth_pictures(folder);
  if (images.empty()) {
    fail(folder, "holds no depth images: put them into depth/ as grey PNG of 16 bits");
  }
  if (!pose_file) {
    fail(folder,
         "holds depth images but no poses.txt: add the list of poses, timestamp tx ty tz qx qy qz qw a line, "
         "from camera to world");
  }
  const auto camera_file = entry(folder, kCameraFiles, false);
  if (!camera_file) {
    fail(folder,
         "holds depth images but no intrinsics.json: add it with fx, fy, cx, cy, width, height and "
         "depth_scale "
         "(depth units a metre)");
  }
  DepthFolder found;
  found.camera = read_camera(*camera_file);
  found.camera_file = *camera_file;
  const auto poses = poses_of(images, read_poses(*pose_file), *pose_file);
  const std::vector<Picture> colours = colour_pictures(folder);
  for (std::size_t i = 0; i < images.size(); ++i) {
    if (poses[i]) {
      found.views.push_back({images[i].file, beside(images[i], colours), *poses[i]});
    } else {
      ++found.without_pose;
    }
  }
  return found;
}

}  // namespace

bool is_depth_folder(const fs::path& folder) {
  return entry(folder, kPoseFiles, false) || entry(folder, kDepthFolders, true) ||
         entry(folder, kDepthLists, false);
}

DepthFolder find_views(const fs::path& folder) {
  try {
    return find_views_in(folder);
  } catch (const fs::filesystem_error& error) {
    fail(folder, "cannot be searched (" + error.code().message() + "): check its access rights");
  }
}

}  // namespace flitchwise::scan
