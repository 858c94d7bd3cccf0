#include "tools/job/dry_size.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <sstream>

#include "scan/model/errors.hpp"
#include "scan/model/numbers.hpp"
#include "scan/model/shrinkage.hpp"
#include "scan/model/units.hpp"
#include "solver/plan/board_size.hpp"

namespace flitchwise {
namespace {

constexpr double kMmAnInch = 25.4;
constexpr const char* kNominal = "nominal";

/// Minimum dry dressed sizes of boards and dimension lumber, in inches: PS 20-20, American Softwood Lumber
/// Standard (NIST), Table 3, read in a second publication of it.
struct DressedSize {
  const char* nominal;
  double dry_in;
};
constexpr DressedSize kThicknesses[] = {{"1", 0.75}, {"5/4", 1.0}, {"2", 1.5}, {"4", 3.5}};
constexpr DressedSize kWidths[] = {{"2", 1.5},  {"3", 2.5},   {"4", 3.5},   {"6", 5.5},
                                   {"8", 7.25}, {"10", 9.25}, {"12", 11.25}};

[[noreturn]] void reject(const std::string& text) {
  throw BadUse(
      "'" + text +
      "' is no dry size; write thickness x width x length of the dry, planed board in mm, for example "
      "45x145x3000, or an American size with its length in mm, for example nominal 2x6x3000");
}

template <std::size_t N>
double dressed_m(const DressedSize (&table)[N], const std::string& nominal, const std::string& text) {
  const auto* found = std::find_if(std::begin(table), std::end(table),
                                   [&](const DressedSize& size) { return size.nominal == nominal; });
  if (found == std::end(table)) {
    reject(text);
  }
  return found->dry_in * kMmAnInch / kMmAMetre;
}

/// "2x6x3000" after the word "nominal".
solver::Target nominal_size(const std::string& plain, const std::string& text) {
  const std::size_t first = plain.find('x');
  const std::size_t second = first == std::string::npos ? first : plain.find('x', first + 1);
  if (second == std::string::npos) {
    reject(text);
  }
  const double length_mm = parse_double(plain.substr(second + 1)).value_or(0);
  if (length_mm <= 0) {
    reject(text);
  }
  solver::Target dry;
  dry.thickness_m = dressed_m(kThicknesses, plain.substr(0, first), text);
  dry.width_m = dressed_m(kWidths, plain.substr(first + 1, second - first - 1), text);
  dry.length_m = length_mm / kMmAMetre;
  return dry;
}

solver::Target dry_size(const std::string& text) {
  std::string plain = text;
  std::erase(plain, ' ');
  if (plain.starts_with(kNominal)) {
    return nominal_size(plain.substr(std::string(kNominal).size()), text);
  }
  try {
    return solver::board_size(text);
  } catch (const BadUse&) {
    reject(text);
  }
}

std::string mm_text(double length_m) {
  std::ostringstream text;
  text << std::round(length_m * kMmAMetre * 100) / 100;
  return text.str();
}

}  // namespace

GreenTarget green_target(const std::string& text, const std::string& species, double moisture_percent) {
  const solver::Target dry = dry_size(text);
  const auto found = species.empty() ? std::nullopt : find_species(species);
  GreenSizeOptions options;
  options.moisture_percent = moisture_percent;
  const ShrinkageEstimate estimate = shrinkage(found ? &*found : nullptr, moisture_percent);
  GreenTarget green;
  green.target.thickness_m = green_size_m(dry.thickness_m, estimate, options);
  green.target.width_m = green_size_m(dry.width_m, estimate, options);
  green.target.length_m = dry.length_m;
  green.target.name = mm_text(green.target.thickness_m) + "x" + mm_text(green.target.width_m) + "x" +
                      mm_text(green.target.length_m);
  solver::check(green.target);
  green.size = {dry.thickness_m,          dry.width_m,          moisture_percent,
                green.target.thickness_m, green.target.width_m, estimate.tangential_share,
                estimate.source,          options.planing_m,    options.saw_variation_m};
  return green;
}

}  // namespace flitchwise
