#pragma once
/// Depth and colour pictures of a depth camera.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <vector>

#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

struct DepthImage {
  int width = 0;
  int height = 0;
  std::vector<std::uint16_t> units;  ///< row by row from the top; 0 where nothing was measured

  std::uint16_t at(int u, int v) const {
    return units[static_cast<std::size_t>(v) * static_cast<std::size_t>(width) + static_cast<std::size_t>(u)];
  }
};

struct ColourImage {
  int width = 0;
  int height = 0;
  std::vector<Colour> pixels;  ///< row by row from the top
};

/// A grey PNG of 16 bits. Throws InputError (one sentence) for anything else.
DepthImage read_depth_image(const std::filesystem::path& file);

/// A PNG or JPEG picture, averaged down by whole pixels to no less than this size (which spares memory and
/// noise). Throws InputError (one sentence) if it is none or damaged.
ColourImage read_colour_image(const std::filesystem::path& file, int least_width, int least_height);

}  // namespace flitchwise::scan
