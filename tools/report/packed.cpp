#include "tools/report/packed.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::report {

std::string base64(std::string_view bytes) {
  constexpr std::string_view kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  constexpr std::size_t kGroup = 3;
  std::string text;
  text.reserve((bytes.size() + kGroup - 1) / kGroup * 4);
  for (std::size_t i = 0; i < bytes.size(); i += kGroup) {
    const std::size_t here = std::min(kGroup, bytes.size() - i);
    std::uint32_t bits = 0;
    for (std::size_t k = 0; k < kGroup; ++k) {
      bits = bits << 8U | (k < here ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    }
    for (std::size_t k = 0; k < 4; ++k) {
      text += k <= here ? kLetters[bits >> (18U - 6U * k) & 63U] : '=';
    }
  }
  return text;
}

void append_u16(std::string& bytes, double value) {
  constexpr double kMost = 65535;
  const double whole = std::isfinite(value) ? std::clamp(std::round(value), 0.0, kMost) : 0;
  const auto number = static_cast<std::uint32_t>(whole);
  bytes += static_cast<char>(number & 255U);
  bytes += static_cast<char>(number >> 8U);
}

}  // namespace flitchwise::report
