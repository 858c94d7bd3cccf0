#include "scan/read/colour.hpp"

#include <algorithm>

namespace flitchwise::scan {
namespace {

constexpr float kByteMax = 255;
constexpr float kWordMax = 65535;

}  // namespace

float colour_factor(ColourKind kind, float least, float most, bool all_whole) {
  const bool in_words = most > kByteMax;
  switch (kind) {
    case ColourKind::none:
      break;
    case ColourKind::bytes:
      return 1;
    case ColourKind::integers:
      return in_words ? kByteMax / kWordMax : 1;
    case ColourKind::numbers:
      return in_words ? kByteMax / kWordMax : most > 1 ? 1 : kByteMax;
    case ColourKind::guessed:
      // Three further columns may be a normal instead, but then some number is negative.
      if (least < 0 || in_words) {
        return 0;
      }
      if (all_whole) {
        return 1;
      }
      return most > 0 && most <= 1 ? kByteMax : 0;
  }
  return 0;
}

std::uint8_t to_byte(float value, float factor) {
  constexpr float kRound = 0.5F;
  const float scaled = value * factor + kRound;
  return scaled >= 0 ? static_cast<std::uint8_t>(std::min(scaled, kByteMax))
                     : std::uint8_t{0};  // NaN gives 0
}

}  // namespace flitchwise::scan
