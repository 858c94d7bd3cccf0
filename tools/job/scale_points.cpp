#include "tools/job/scale_points.hpp"

#include <array>
#include <cmath>

#include "scan/model/errors.hpp"
#include "scan/model/numbers.hpp"
#include "scan/model/units.hpp"
#include "tools/job/option_values.hpp"

namespace flitchwise {
namespace {

// Shorter distances, picked to a few millimetres in a viewer, give no scale.
constexpr Limits kDistance{"the distance of --scale-points", 50, 30000, " mm"};

[[noreturn]] void reject(const std::string& text) {
  throw BadUse(
      "--scale-points is '" + text +
      "', but must be two points in the file's coordinates and their true distance in mm, for example "
      "1.2,0,0.5:3.4,0.1,0.5=2210");
}

}  // namespace

ScalePoints scale_points_of(const std::string& text) {
  std::string plain = text;
  std::erase(plain, ' ');
  constexpr std::array<char, 7> kAfter = {',', ',', ':', ',', ',', '=', '\0'};  // what follows each number
  std::array<double, kAfter.size()> numbers{};
  const char* next = plain.data();
  const char* const end = next + plain.size();
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    const char* const rest = read_double(next, end, numbers.at(i));
    const bool last = i + 1 == numbers.size();
    if (rest == nullptr || !std::isfinite(numbers.at(i)) ||
        (last ? rest != end : rest == end || *rest != kAfter.at(i))) {
      reject(text);
    }
    next = last ? rest : rest + 1;
  }
  ScalePoints points{
      {numbers[0], numbers[1], numbers[2]}, {numbers[3], numbers[4], numbers[5]}, numbers[6] / kMmAMetre};
  require_within(kDistance, numbers[6]);
  require((points.second - points.first).norm() > 0,
          "the two points of --scale-points are one; pick two that lie far apart");
  return points;
}

}  // namespace flitchwise
