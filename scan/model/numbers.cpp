#include "scan/model/numbers.hpp"

#include <fast_float/fast_float.h>

#include <cmath>
#include <system_error>

namespace flitchwise {

const char* read_double(const char* from, const char* end, double& number) {
  const auto [stop, error] = fast_float::from_chars(from, end, number);
  return error == std::errc() ? stop : nullptr;
}

std::optional<double> parse_double(std::string_view text) {
  const char* const end = text.data() + text.size();
  double number = 0;
  return read_double(text.data(), end, number) == end && std::isfinite(number) ? std::optional(number)
                                                                               : std::nullopt;
}

}  // namespace flitchwise
