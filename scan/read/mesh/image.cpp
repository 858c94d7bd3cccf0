#include "scan/read/mesh/image.hpp"

#include <stb/stb_image.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "scan/model/errors.hpp"
#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {
namespace {

constexpr int kChannels = 3;
// Finer pictures are averaged down: on a scene of 8 m a pixel is then no more than the 4 mm between points.
constexpr std::size_t kMostPixelsAcross = 2048;
// Decoding needs three bytes a pixel: 0.4 GB. Larger pictures are no phone's, or a trap.
constexpr std::int64_t kMostPixels = 134'217'728;

// Formats by their first bytes, so that the decoder's rarer and less well tried parts are never entered.
bool is_wanted_format(std::string_view bytes) {
  using namespace std::string_view_literals;
  if (bytes.starts_with("\xFF\xD8\xFF") || bytes.starts_with("\x89PNG") || bytes.starts_with("BM")) {
    return true;
  }
  constexpr std::size_t kTgaHeader = 18;
  const bool is_true_colour_tga =
      bytes.size() > kTgaHeader && (bytes.substr(1, 2) == "\0\2"sv || bytes.substr(1, 2) == "\0\12"sv);
  return is_true_colour_tga;
}

std::size_t shrink_factor(std::size_t width, std::size_t height) {
  const std::size_t across = std::max(width, height);
  return (across + kMostPixelsAcross - 1) / kMostPixelsAcross;
}

/// Mean of the block of `factor` x `factor` pixels whose first is (column, row), cut off at the edges.
Colour mean_of_block(const unsigned char* pixels, std::size_t width, std::size_t height, std::size_t column,
                     std::size_t row, std::size_t factor) {
  std::array<std::size_t, kChannels> sum{};
  const std::size_t last_row = std::min(row + factor, height);
  const std::size_t last_column = std::min(column + factor, width);
  for (std::size_t r = row; r < last_row; ++r) {
    for (std::size_t c = column; c < last_column; ++c) {
      for (std::size_t channel = 0; channel < kChannels; ++channel) {
        sum.at(channel) += pixels[(r * width + c) * kChannels + channel];
      }
    }
  }
  const std::size_t count = (last_row - row) * (last_column - column);
  Colour mean{};
  for (std::size_t channel = 0; channel < kChannels; ++channel) {
    mean.at(channel) = static_cast<std::uint8_t>((sum.at(channel) + count / 2) / count);
  }
  return mean;
}

std::size_t pixel_of(float position, std::size_t pixels, Wrap wrap) {
  float inside = position;
  if (wrap == Wrap::clamp || (position >= 0 && position <= 1)) {
    inside = std::clamp(position, 0.0F, 1.0F);
  } else {
    inside = position - std::floor(position);
    const bool odd = std::fmod(std::floor(position), 2.0F) != 0;
    inside = wrap == Wrap::mirror && odd ? 1 - inside : inside;
  }
  return std::min(static_cast<std::size_t>(inside * static_cast<float>(pixels)), pixels - 1);
}

}  // namespace

Colour Image::at(const Eigen::Vector2f& uv) const {
  if (!uv.allFinite()) {
    return kGrey;
  }
  const std::size_t column = pixel_of(uv.x(), width, wrap_u);
  const std::size_t row_from_below = pixel_of(uv.y(), height, wrap_v);
  return pixels[(height - 1 - row_from_below) * width + column];
}

std::shared_ptr<Image> decode_image(std::string_view bytes) {
  if (!is_wanted_format(bytes) || bytes.size() > std::numeric_limits<int>::max()) {
    return nullptr;
  }
  const auto* const data = reinterpret_cast<const stbi_uc*>(bytes.data());
  const int length = static_cast<int>(bytes.size());
  int width_read = 0;
  int height_read = 0;
  int channels = 0;
  if (stbi_info_from_memory(data, length, &width_read, &height_read, &channels) == 0 || width_read <= 0 ||
      height_read <= 0 || std::int64_t{width_read} * height_read > kMostPixels) {
    return nullptr;
  }
  const std::unique_ptr<stbi_uc, decltype(&stbi_image_free)> pixels(
      stbi_load_from_memory(data, length, &width_read, &height_read, &channels, kChannels), &stbi_image_free);
  if (!pixels) {
    return nullptr;
  }
  const auto width = static_cast<std::size_t>(width_read);
  const auto height = static_cast<std::size_t>(height_read);
  const std::size_t factor = shrink_factor(width, height);
  auto image = std::make_shared<Image>();
  image->width = (width + factor - 1) / factor;
  image->height = (height + factor - 1) / factor;
  image->pixels.reserve(image->width * image->height);
  for (std::size_t row = 0; row < height; row += factor) {
    for (std::size_t column = 0; column < width; column += factor) {
      image->pixels.push_back(mean_of_block(pixels.get(), width, height, column, row, factor));
    }
  }
  return image;
}

std::shared_ptr<Image> load_image(const std::filesystem::path& file) {
  try {
    const MappedFile mapped(file);
    return decode_image(mapped.bytes());
  } catch (const InputError&) {
    return nullptr;  // the caller says which picture is missing
  }
}

}  // namespace flitchwise::scan
