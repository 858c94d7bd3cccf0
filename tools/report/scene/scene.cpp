#include "tools/report/scene/scene.hpp"

#include <array>

namespace flitchwise::report {

std::string role_name(Role role) {
  // In the order of Role.
  constexpr std::array<const char*, 30> kNames = {
      "bark",      "bark-edge",  "unseen-edge", "wood",      "board",   "on-edge",
      "far-board", "face-upper", "face-lower",  "plane",     "opening", "edging",
      "pith",      "plumb",      "bracket",     "rail",      "screw",   "packer",
      "relieve",   "no-bearing", "high-spot",   "old-level", "old-top", "new-top",
      "leader",    "dimension",  "length",      "mark-name", "support", "support-note"};
  return kNames.at(static_cast<std::size_t>(role));
}

Shape shape(Role role, const std::vector<Eigen::Vector2d>& corners_m, bool closed) {
  Shape made{role, {}, closed};
  for (const Eigen::Vector2d& corner_m : corners_m) {
    made.corners.push_back({corner_m});
  }
  return made;
}

Shape line(Role role, const Spot& from, const Spot& to) {
  return {role, {from, to}};
}

}  // namespace flitchwise::report
