#include "scan/depth/images.hpp"

#include <stb/stb_image.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>
#include <memory>
#include <string_view>

#include "scan/read/failure.hpp"
#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {
namespace {

constexpr int kColours = 3;
constexpr std::int64_t kMostPixels = 134'217'728;  // larger pictures are no camera's, or a trap

struct Bytes {
  const stbi_uc* data;
  int length;
};

struct Size {
  int width = 0;
  int height = 0;
};

bool is_png(std::string_view bytes) {
  return bytes.starts_with("\x89PNG");
}

/// Throws InputError if the file is larger than any picture.
Bytes bytes_of(const MappedFile& file) {
  if (file.bytes().size() > static_cast<std::size_t>(std::numeric_limits<int>::max())) {
    fail(file.path(), "is too large for a picture: export the images again");
  }
  return {reinterpret_cast<const stbi_uc*>(file.bytes().data()), static_cast<int>(file.bytes().size())};
}

[[noreturn]] void fail_damaged(const MappedFile& file) {
  fail(file.path(), "is a damaged picture, perhaps cut short: copy or export the images again");
}

/// Requires: the file is a PNG or JPEG. Throws InputError if its header cannot be read.
Size size_of_picture(const MappedFile& file, const Bytes& bytes, int& channels) {
  Size size;
  if (stbi_info_from_memory(bytes.data, bytes.length, &size.width, &size.height, &channels) == 0 ||
      size.width <= 0 || size.height <= 0 || std::int64_t{size.width} * size.height > kMostPixels) {
    fail_damaged(file);
  }
  return size;
}

Colour mean_of_block(const stbi_uc* pixels, int width, int column, int row, int factor) {
  std::array<int, kColours> sum{};
  for (int r = row; r < row + factor; ++r) {
    for (int c = column; c < column + factor; ++c) {
      for (std::size_t i = 0; i < sum.size(); ++i) {
        sum.at(i) +=
            pixels[(static_cast<std::ptrdiff_t>(r) * width + c) * kColours + static_cast<std::ptrdiff_t>(i)];
      }
    }
  }
  Colour mean{};
  for (std::size_t i = 0; i < sum.size(); ++i) {
    mean.at(i) = static_cast<std::uint8_t>(sum.at(i) / (factor * factor));
  }
  return mean;
}

}  // namespace

DepthImage read_depth_image(const std::filesystem::path& file) {
  const MappedFile mapped(file);
  if (!is_png(mapped.bytes())) {
    fail(file, "is no PNG: depth images must be grey PNG of 16 bits");
  }
  const Bytes bytes = bytes_of(mapped);
  int channels = 0;
  const Size size = size_of_picture(mapped, bytes, channels);
  if (stbi_is_16_bit_from_memory(bytes.data, bytes.length) == 0) {
    fail(file, "has 8 bits a pixel, too few for depth: export the depth images as grey PNG of 16 bits");
  }
  if (channels != 1) {
    fail(file, "is a coloured picture, not depth: export the depth images as grey PNG of 16 bits");
  }
  DepthImage image{size.width, size.height, {}};
  int ignored_width = 0;
  int ignored_height = 0;
  const std::unique_ptr<stbi_us, decltype(&stbi_image_free)> pixels(
      stbi_load_16_from_memory(bytes.data, bytes.length, &ignored_width, &ignored_height, &channels, 1),
      &stbi_image_free);
  if (!pixels) {
    fail_damaged(mapped);
  }
  image.units.assign(pixels.get(), pixels.get() + std::ptrdiff_t{size.width} * size.height);
  return image;
}

ColourImage read_colour_image(const std::filesystem::path& file, int least_width, int least_height) {
  const MappedFile mapped(file);
  if (!is_png(mapped.bytes()) && !mapped.bytes().starts_with("\xFF\xD8\xFF")) {
    fail(file, "is neither a PNG nor a JPEG picture: export the colour pictures as one of these");
  }
  const Bytes bytes = bytes_of(mapped);
  int channels = 0;
  Size size = size_of_picture(mapped, bytes, channels);
  const std::unique_ptr<stbi_uc, decltype(&stbi_image_free)> pixels(
      stbi_load_from_memory(bytes.data, bytes.length, &size.width, &size.height, &channels, kColours),
      &stbi_image_free);
  if (!pixels) {
    fail_damaged(mapped);
  }
  const int factor =
      std::max(1, std::min(size.width / std::max(least_width, 1), size.height / std::max(least_height, 1)));
  ColourImage image{size.width / factor, size.height / factor, {}};
  image.pixels.reserve(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height));
  for (int row = 0; row < image.height; ++row) {
    for (int column = 0; column < image.width; ++column) {
      image.pixels.push_back(mean_of_block(pixels.get(), size.width, column * factor, row * factor, factor));
    }
  }
  return image;
}

}  // namespace flitchwise::scan
