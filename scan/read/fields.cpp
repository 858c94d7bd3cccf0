#include "scan/read/fields.hpp"

#include <algorithm>
#include <initializer_list>

namespace flitchwise::scan {
namespace {

std::optional<std::size_t> find_name(const std::vector<std::string>& names,
                                     std::initializer_list<std::string_view> wanted) {
  for (const std::string_view name : wanted) {
    const auto at = std::find(names.begin(), names.end(), name);
    if (at != names.end()) {
      return static_cast<std::size_t>(at - names.begin());
    }
  }
  return std::nullopt;
}

}  // namespace

ColourKind FieldRoles::colour_kind(Scalar type_of_separate) const {
  if (!has_separate_colour()) {
    return packed ? ColourKind::bytes : ColourKind::none;
  }
  if (is_floating(type_of_separate)) {
    return ColourKind::numbers;
  }
  return type_of_separate == Scalar::u8 ? ColourKind::bytes : ColourKind::integers;
}

FieldRoles find_roles(const std::vector<std::string>& names) {
  std::vector<std::string> lower(names.size());
  std::transform(names.begin(), names.end(), lower.begin(), lower_case);
  FieldRoles roles;
  roles.x = find_name(lower, {"x", "points:0", "easting", "east"});
  roles.y = find_name(lower, {"y", "points:1", "northing", "north"});
  roles.z = find_name(lower, {"z", "points:2", "elevation", "height", "altitude"});
  roles.r = find_name(lower, {"red", "r", "diffuse_red", "rf", "colorred"});
  roles.g = find_name(lower, {"green", "g", "diffuse_green", "gf", "colorgreen"});
  roles.b = find_name(lower, {"blue", "b", "diffuse_blue", "bf", "colorblue"});
  if (!roles.has_separate_colour()) {
    roles.packed = find_name(lower, {"rgb", "rgba"});
  }
  return roles;
}

std::string lower_case(std::string_view text) {
  std::string lower(text);
  for (char& letter : lower) {
    if (letter >= 'A' && letter <= 'Z') {
      letter = static_cast<char>(letter - 'A' + 'a');
    }
  }
  return lower;
}

}  // namespace flitchwise::scan
