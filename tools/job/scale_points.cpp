#include "tools/job/scale_points.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/job/option_values.hpp"

namespace flitchwise {
namespace {

// Shorter distances, picked to a few millimetres in a viewer, give no scale.
constexpr double kLeastMm = 50;
constexpr double kMostMm = 30000;

[[noreturn]] void reject(const std::string& text, const std::string& option) {
  throw BadUse(
      option + " is '" + text +
      "', but must be two points in the file's coordinates and their true distance in mm, for example "
      "1.2,0,0.5:3.4,0.1,0.5=2210");
}

}  // namespace

ScalePoints scale_points_of(const std::string& text, const std::string& option) {
  std::string plain = text;
  std::erase(plain, ' ');
  constexpr std::array<char, 7> kAfter = {',', ',', ':', ',', ',', '=', '\0'};  // what follows each number
  std::array<double, kAfter.size()> numbers{};
  const char* next = plain.data();
  const char* const end = next + plain.size();
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const auto [rest, error] = std::from_chars(next, end, numbers.at(i));
    const bool last = i + 1 == numbers.size();
    if (error != std::errc() || !std::isfinite(numbers.at(i)) ||
        (last ? rest != end : rest == end || *rest != kAfter.at(i))) {
      reject(text, option);
    }
    next = last ? rest : rest + 1;
  }
  ScalePoints points{
      {numbers[0], numbers[1], numbers[2]}, {numbers[3], numbers[4], numbers[5]}, numbers[6] / kMmAMetre};
  require_within({option.c_str(), kLeastMm, kMostMm, " mm"}, numbers[6]);
  require((points.second - points.first).norm() > 0,
          "the two points of " + option + " are one; pick two that lie far apart");
  return points;
}

}  // namespace flitchwise
