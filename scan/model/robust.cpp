#include "scan/model/robust.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace flitchwise {
namespace {

/// The value that would stand at this place in order; what stands before it is no larger then.
double nth(std::vector<double>& values, std::size_t place) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

}  // namespace

double quantile(std::vector<double> values, double share) {
  return values.empty()
             ? 0
             : nth(values, static_cast<std::size_t>(share * static_cast<double>(values.size() - 1)));
}

double median(std::vector<double> values) {
  return values.empty() ? 0 : nth(values, values.size() / 2);
}

double even_median(std::vector<double> values) {
  const std::size_t half = values.size() / 2;
  const double upper = values.empty() ? 0 : nth(values, half);
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(half);
  return values.size() % 2 == 1 || values.empty() ? upper
                                                  : 0.5 * (upper + *std::max_element(values.begin(), middle));
}

double mad_sigma(std::vector<double> values, double around) {
  for (double& value : values) {
    value = std::abs(value - around);
  }
  return kMadToSigma * median(std::move(values));
}

}  // namespace flitchwise
