#include "scan/read/mesh/obj_material.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>
#include <utility>

#include "scan/model/errors.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

/// The file name of a map_Kd line, behind its options ("-s 1 1 1 bark.jpg"). Names may hold blanks.
std::string_view picture_name(std::string_view rest) {
  rest = trimmed(rest);
  while (rest.starts_with('-')) {
    const std::string_view option = take_word(rest);
    double number = 0;
    if (option == "-o" || option == "-s" || option == "-t" || option == "-mm" || option == "-bm" ||
        option == "-boost" || option == "-texres") {
      rest = trimmed(rest);
      while (take_number(rest, ' ', number)) {
        rest = trimmed(rest);
      }
    } else {
      take_word(rest);  // -clamp on, -blendu off, -imfchan r and the like
    }
    rest = trimmed(rest);
  }
  return rest;
}

std::optional<Colour> parse_colour(std::string_view rest) {
  constexpr double kByteMax = 255;
  Colour colour{};
  for (std::uint8_t& channel : colour) {
    double value = 0;
    if (!take_number(rest, ' ', value) || !std::isfinite(value)) {
      return std::nullopt;
    }
    channel = static_cast<std::uint8_t>(std::lround(std::clamp(value, 0.0, 1.0) * kByteMax));
  }
  return colour;
}

}  // namespace

void ObjMaterials::take_line(std::string_view line, MeshMaterial*& material) {
  const std::string_view word = take_word(line);
  if (word == "newmtl") {
    material = &materials_[std::string(trimmed(line))];
  } else if (word == "Kd" && material != nullptr && !material->picture) {
    material->colour = parse_colour(line).value_or(material->colour);
  } else if (word == "map_Kd" && material != nullptr) {
    material->picture = pictures_.beside(picture_name(line));
    // Many writers put a grey or even black Kd beside a picture that is meant to be seen as it is.
    material->colour = material->picture ? MeshMaterial().colour : kGrey;
  }
}

void ObjMaterials::add_library(std::string_view name) {
  const std::filesystem::path path = neighbour_of(obj_, name);
  if (path.empty()) {
    missing_.emplace(name);
  } else if (read_.insert(path).second) {
    try {
      const MappedFile file(path);
      LineCursor lines(file.bytes());
      std::string_view line;
      MeshMaterial* material = nullptr;
      while (lines.next(line)) {
        take_line(line, material);
      }
    } catch (const InputError&) {
      missing_.emplace(name);
    }
  }
}

MeshMaterial ObjMaterials::find(std::string_view name) const {
  const auto known = materials_.find(name);
  return known == materials_.end() ? MeshMaterial{kGrey, nullptr} : known->second;
}

std::vector<ScanFact> ObjMaterials::warnings() const {
  std::vector<ScanFact> warnings = pictures_.warnings();
  for (const std::string& name : missing_) {
    warnings.emplace_back(MaterialsMissing{name});
  }
  return warnings;
}

}  // namespace flitchwise::scan
