#pragma once
/// Numbers as short text for the page: little-endian integers in base64 (RFC 4648).

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace flitchwise::report {

/// Base64 with padding (RFC 4648, section 4).
std::string base64(std::string_view bytes);

/// Appends `value` rounded to a whole number, low byte first; held to 0 to 65535. A value that is not finite
/// becomes 0.
void append_u16(std::string& bytes, double value);

}  // namespace flitchwise::report
