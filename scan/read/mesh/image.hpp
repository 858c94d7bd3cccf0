#pragma once
/// Pictures on meshes.

#include <Eigen/Core>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string_view>
#include <vector>

#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

/// What lies beyond the picture's edges.
enum class Wrap { repeat, clamp, mirror };

struct Image {
  std::size_t width = 0;
  std::size_t height = 0;
  std::vector<Colour> pixels;  ///< row by row from the top
  Wrap wrap_u = Wrap::repeat;
  Wrap wrap_v = Wrap::repeat;

  /// Colour of the pixel at (u, v), v upwards; grey if they are not finite.
  Colour at(const Eigen::Vector2f& uv) const;
};

/// What a surface shows whose picture is missing.
constexpr Colour kGrey = {128, 128, 128};

/// Decodes a JPEG, PNG, BMP or TGA picture, made smaller if it is finer than colours need; null if the bytes
/// are none of these or damaged.
std::shared_ptr<Image> decode_image(std::string_view bytes);

/// The same from a file; null if it cannot be read either.
std::shared_ptr<Image> load_image(const std::filesystem::path& file);

}  // namespace flitchwise::scan
