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

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) {
    return {};
  }
  return text.substr(first, text.find_last_not_of(" \t") + 1 - first);
}

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

void add_line(const std::filesystem::path& file, std::string_view line, MaterialLibrary& library,
              MeshMaterial*& material) {
  const std::string_view word = take_word(line);
  if (word == "newmtl") {
    material = &library.materials[std::string(trimmed(line))];
  } else if (word == "Kd" && material != nullptr && !material->picture) {
    material->colour = parse_colour(line).value_or(material->colour);
  } else if (word == "map_Kd" && material != nullptr) {
    const std::string_view name = picture_name(line);
    material->picture = library.picture(picture_beside(file, name));
    // Many writers put a grey or even black Kd beside a picture that is meant to be seen as it is.
    material->colour = material->picture ? Colour{255, 255, 255} : kGrey;
    if (!material->picture) {
      library.warnings.emplace_back(PictureMissing{std::string(name)});
    }
  }
}

}  // namespace

std::shared_ptr<const Image> MaterialLibrary::picture(const std::filesystem::path& file) {
  const auto [at, is_new] = pictures_.try_emplace(file.string());
  if (is_new) {
    at->second = load_image(file);
  }
  return at->second;
}

void add_materials(const std::filesystem::path& obj, std::string_view name, MaterialLibrary& library) {
  const std::filesystem::path path = picture_beside(obj, trimmed(name));
  try {
    const MappedFile file(path);
    LineCursor lines(file.bytes());
    std::string_view line;
    MeshMaterial* material = nullptr;
    while (lines.next(line)) {
      add_line(path, line, library, material);
    }
  } catch (const InputError&) {
    library.warnings.emplace_back(MaterialsMissing{std::string(trimmed(name))});
  }
}

}  // namespace flitchwise::scan
