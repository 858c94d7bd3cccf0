#include "scan/read/mesh/image.hpp"

#include <stb/stb_image.h>
#include <stb/stb_image_resize.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "scan/model/errors.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {
namespace {

constexpr int kChannels = 3;

// Phones and photogrammetry write up to 8192 x 8192 pixels of four bytes. Decoding takes about twice as much.
constexpr std::int64_t kMostBytes = std::int64_t{1} << 28U;

struct FreePixels {
  void operator()(stbi_uc* pixels) const { stbi_image_free(pixels); }
};

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

/// How many pixels a picture may have across beside those that are held already.
std::size_t most_across(std::size_t pixels_held) {
  constexpr std::size_t kUsual = 2048;  // on a scene of 8 m no more than the 4 mm between points
  constexpr std::size_t kCoarse = 512;
  constexpr std::size_t kSpeck = 32;
  constexpr std::size_t kMany = 40'000'000;  // ten of the usual ones: 120 MB
  return pixels_held < kMany ? kUsual : pixels_held < 2 * kMany ? kCoarse : kSpeck;
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

/// Null if the bytes are no picture, damaged or too large.
std::shared_ptr<const Image> decode_image(std::string_view bytes, std::size_t most_pixels_across) {
  if (!is_wanted_format(bytes) || bytes.size() > std::numeric_limits<int>::max()) {
    return nullptr;
  }
  const auto* const data = reinterpret_cast<const stbi_uc*>(bytes.data());
  const int length = static_cast<int>(bytes.size());
  int columns = 0;
  int rows = 0;
  int channels = 0;
  if (stbi_info_from_memory(data, length, &columns, &rows, &channels) == 0 || columns <= 0 || rows <= 0) {
    return nullptr;
  }
  const int pixel_bytes = channels * (stbi_is_16_bit_from_memory(data, length) != 0 ? 2 : 1);
  if (std::int64_t{columns} * rows > kMostBytes / pixel_bytes) {
    return nullptr;
  }
  const std::unique_ptr<stbi_uc, FreePixels> pixels(
      stbi_load_from_memory(data, length, &columns, &rows, &channels, kChannels));
  if (!pixels) {
    return nullptr;
  }
  const int across = static_cast<int>(most_pixels_across);
  const int factor = (std::max(columns, rows) + across - 1) / across;
  auto image = std::make_shared<Image>();
  image->width = static_cast<std::size_t>((columns + factor - 1) / factor);
  image->height = static_cast<std::size_t>((rows + factor - 1) / factor);
  image->pixels.resize(image->width * image->height);
  static_assert(sizeof(Colour) == kChannels);
  if (factor == 1) {
    std::memcpy(image->pixels.data(), pixels.get(), image->pixels.size() * sizeof(Colour));
  } else if (stbir_resize_uint8_generic(pixels.get(), columns, rows, 0, image->pixels.front().data(),
                                        static_cast<int>(image->width), static_cast<int>(image->height), 0,
                                        kChannels, STBIR_ALPHA_CHANNEL_NONE, 0, STBIR_EDGE_CLAMP,
                                        STBIR_FILTER_BOX, STBIR_COLORSPACE_LINEAR, nullptr) == 0) {
    return nullptr;
  }
  return image;
}

}  // namespace

Colour Image::at(const Eigen::Vector2f& uv, Wrap wrap_u, Wrap wrap_v) const {
  if (!uv.allFinite()) {
    return kGrey;
  }
  const std::size_t column = pixel_of(uv.x(), width, wrap_u);
  const std::size_t row_from_below = pixel_of(uv.y(), height, wrap_v);
  return pixels[(height - 1 - row_from_below) * width + column];
}

std::shared_ptr<const Image> Pictures::beside(std::string_view name) {
  const auto [at, is_new] = by_name_.try_emplace(std::string(name));
  if (is_new) {
    try {
      const MappedFile file(neighbour_of(mesh_file_, name));
      at->second = decode(name, file.bytes());
    } catch (const InputError&) {
      at->second = decode(name, {});
    }
  }
  return at->second;
}

std::shared_ptr<const Image> Pictures::decode(std::string_view name, std::string_view bytes) {
  auto image = decode_image(bytes, most_across(pixels_held_));
  if (image) {
    pixels_held_ += image->pixels.size();
  } else {
    warnings_.emplace_back(PictureMissing{std::string(name)});
  }
  return image;
}

}  // namespace flitchwise::scan
