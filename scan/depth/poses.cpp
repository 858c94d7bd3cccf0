#include "scan/depth/poses.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

// A hand-held camera turns by a few degrees in this time; further apart, the way between is a guess.
constexpr double kMostGap = 0.1;
// Rounding to few digits leaves a quaternion's length within a hundredth of one; others are no rotations.
constexpr double kMostLengthOff = 0.05;

/// The words of the next line that is no comment, commas as blanks; false at the end.
bool next_words(LineCursor& lines, std::string& text, std::vector<std::string_view>& words) {
  for (std::string_view line; lines.next(line);) {
    text = line.substr(0, line.find('#'));
    std::replace(text.begin(), text.end(), ',', ' ');
    words.clear();
    std::string_view rest = text;
    if (rest.starts_with("\xEF\xBB\xBF")) {
      rest.remove_prefix(3);  // a byte order mark
    }
    for (std::string_view word = take_word(rest); !word.empty(); word = take_word(rest)) {
      words.push_back(word);
    }
    if (!words.empty()) {
      return true;
    }
  }
  return false;
}

bool as_number(std::string_view word, double& number) {
  return take_number(word, ' ', number) && word.empty() && std::isfinite(number);
}

std::string place(const MappedFile& file, const LineCursor& lines, const std::string& text) {
  const std::uint64_t next = line_number(file.bytes(), lines.position());
  const bool ended = lines.position() == file.bytes().data() + file.bytes().size();
  const bool open = ended && file.bytes().back() != '\n';
  return "line " + std::to_string(open ? next : next - 1) + " (" + quoted(std::string_view(text)) + ")";
}

}  // namespace

std::vector<Pose> read_poses(const std::filesystem::path& file) {
  const MappedFile mapped(file);
  LineCursor lines(mapped.bytes());
  std::vector<Pose> poses;
  std::string text;
  for (std::vector<std::string_view> words; next_words(lines, text, words);) {
    std::array<double, 8> n{};
    bool sound = words.size() >= n.size();
    for (std::size_t i = 0; sound && i < n.size(); ++i) {
      sound = as_number(words[i], n.at(i));
    }
    if (!sound) {
      fail(file, "has no pose in " + place(mapped, lines, text) +
                     ": write timestamp tx ty tz qx qy qz qw, from camera to world, in every line");
    }
    const Eigen::Quaterniond turn(n[7], n[4], n[5], n[6]);
    if (!(std::abs(turn.norm() - 1) <= kMostLengthOff)) {
      fail(file, "has no rotation in " + place(mapped, lines, text) +
                     ": the length of qx qy qz qw must be 1; export the poses again");
    }
    Pose pose{n[0], Eigen::Isometry3d(turn.normalized())};
    pose.world_from_camera.pretranslate(Eigen::Vector3d(n[1], n[2], n[3]));
    poses.push_back(pose);
  }
  if (poses.empty()) {
    fail(file, "holds no poses: export the images again");
  }
  std::stable_sort(poses.begin(), poses.end(), [](const Pose& a, const Pose& b) { return a.time < b.time; });
  return poses;
}

bool same_time(double a, double b) {
  constexpr double kSame = 1e-4;
  constexpr double kDigits = 4e-16;  // of a double
  return std::abs(a - b) <= kSame + kDigits * std::abs(a);
}

std::optional<Eigen::Isometry3d> pose_at(const std::vector<Pose>& poses, double time) {
  const auto after = std::lower_bound(poses.begin(), poses.end(), time,
                                      [](const Pose& pose, double t) { return pose.time < t; });
  const bool has_after = after != poses.end();
  const bool has_before = after != poses.begin();
  for (const bool take_after : {true, false}) {
    if ((take_after ? has_after : has_before) && same_time((take_after ? after : after - 1)->time, time)) {
      return (take_after ? after : after - 1)->world_from_camera;
    }
  }
  if (has_after && has_before && after->time - (after - 1)->time <= kMostGap) {
    const Pose& a = *(after - 1);
    const double share = (time - a.time) / (after->time - a.time);
    const Eigen::Quaterniond from(a.world_from_camera.linear());
    Eigen::Isometry3d between(from.slerp(share, Eigen::Quaterniond(after->world_from_camera.linear())));
    between.pretranslate((1 - share) * a.world_from_camera.translation() +
                         share * after->world_from_camera.translation());
    return between;
  }
  for (const bool take_after : {true, false}) {
    if ((take_after ? has_after : has_before) &&
        std::abs((take_after ? after : after - 1)->time - time) <= kMostTimeOff) {
      return (take_after ? after : after - 1)->world_from_camera;
    }
  }
  return std::nullopt;
}

std::vector<ListedImage> read_image_list(const std::filesystem::path& file) {
  const MappedFile mapped(file);
  LineCursor lines(mapped.bytes());
  std::vector<ListedImage> images;
  std::string text;
  for (std::vector<std::string_view> words; next_words(lines, text, words);) {
    ListedImage image;
    if (words.size() < 2 || !as_number(words[0], image.time)) {
      fail(file,
           "has no image in " + place(mapped, lines, text) + ": write timestamp and file in every line");
    }
    image.file = words[1];
    images.push_back(image);
  }
  return images;
}

}  // namespace flitchwise::scan
