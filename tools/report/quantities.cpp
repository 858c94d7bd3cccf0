#include "tools/report/quantities.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <numeric>

#include "scan/model/units.hpp"

namespace flitchwise::report {
namespace {

constexpr double kSixteenth_m = 0.0254 / 16;
constexpr double kRounding = 1e-6;  // of a step: sums of lengths end beside it

/// What people read a length to.
double step_of(Units units) {
  return units == Units::inches ? kSixteenth_m : 1 / kMmAMetre;
}

}  // namespace

double degrees(double radians) {
  constexpr double kHalfTurn = 180;
  return radians * kHalfTurn / std::numbers::pi;
}

std::string fixed(double value, int digits) {
  if (!std::isfinite(value)) {
    return {};
  }
  constexpr std::size_t kRoom = 400;  // the largest double has 309 digits
  std::array<char, kRoom> text;
  const auto result =
      std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed, digits);
  std::string number(text.data(), result.ptr);
  if (number.starts_with('-') && number.find_first_not_of("-0.") == std::string::npos) {
    number.erase(0, 1);
  }
  return number;
}

std::string mm(double length_m, int digits) {
  return fixed(length_m * kMmAMetre, digits);
}

std::string plain(double value) {
  constexpr int kThousandths = 3;
  std::string text = fixed(value, kThousandths);
  text.erase(text.find_last_not_of('0') + 1);
  return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
}

std::string inches(double length_m) {
  constexpr long kParts = 16;
  if (!std::isfinite(length_m)) {
    return {};
  }
  const long sixteenths = std::lround(std::abs(length_m) / kSixteenth_m);
  const std::string sign = length_m < 0 && sixteenths > 0 ? "-" : "";
  const long whole = sixteenths / kParts;
  const long rest = sixteenths % kParts;
  if (rest == 0) {
    return sign + std::to_string(whole);
  }
  const long divisor = std::gcd(rest, kParts);
  const std::string fraction = std::to_string(rest / divisor) + '/' + std::to_string(kParts / divisor);
  return sign + (whole > 0 ? std::to_string(whole) + ' ' : "") + fraction;
}

std::string bare_length(Units units, double length_m) {
  return units == Units::inches ? inches(length_m) : mm(length_m);
}

std::string bare_depth(Units units, double depth_m) {
  constexpr double kHalves = 2;
  // Ties are common (a kerf of 9.5 mm) and must not fall to either side by rounding errors.
  constexpr double kTie = 1e-6;
  const double halves = std::floor(depth_m * kMmAMetre * kHalves + 0.5 + kTie);
  const bool whole = std::fmod(halves, kHalves) == 0;
  return units == Units::inches ? inches(depth_m) : fixed(halves / kHalves, whole ? 0 : 1);
}

std::string unit_name(Units units) {
  return units == Units::inches ? "in" : "mm";
}

std::string length_text(Units units, double length_m) {
  const std::string bare = bare_length(units, length_m);
  return bare.empty() ? bare : bare + ' ' + unit_name(units);
}

std::string fine_length(Units units, double length_m) {
  if (units == Units::millimetres) {
    return mm(length_m, 1) + " mm";
  }
  const std::string bare = inches(length_m);
  return (bare == "0" && length_m > 0 ? "less than 1/16" : bare) + " in";
}

double rounded_down(Units units, double length_m) {
  const double step_m = step_of(units);
  return std::floor(length_m / step_m + kRounding) * step_m;
}

double rounded_up(Units units, double length_m) {
  const double step_m = step_of(units);
  return std::ceil(length_m / step_m - kRounding) * step_m;
}

std::string bare_weight(Units units, double weight_kg) {
  constexpr double kKgAPound = 0.45359237;  // exact: the international pound (NIST Handbook 44, appendix C)
  constexpr double kHalf = 0.5;
  const double weight = units == Units::inches ? weight_kg / kKgAPound : weight_kg;
  return weight > 0 && weight < kHalf ? "<1" : fixed(weight, 0);
}

std::string weight_text(Units units, double weight_kg) {
  return bare_weight(units, weight_kg) + ' ' + weight_unit(units);
}

std::string weight_unit(Units units) {
  return units == Units::inches ? "lb" : "kg";
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + ' ' + noun + (count == 1 ? "" : "s");
}

}  // namespace flitchwise::report
