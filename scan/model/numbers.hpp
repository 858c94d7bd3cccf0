#pragma once
/// Floating point numbers from text, by fast_float: not every C++ library, the browser's among them, has
/// from_chars for them.

#include <optional>
#include <string_view>

namespace flitchwise {

/// Reads the number at the start of a text ("12.5", "-1e3", "nan"), as std::from_chars does, but infinite or
/// zero where it is out of range. Returns where it ends; null if there is none.
const char* read_double(const char* from, const char* end, double& number);

/// The whole text as a finite number; nothing if it is none.
std::optional<double> parse_double(std::string_view text);

}  // namespace flitchwise
