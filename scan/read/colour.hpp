#pragma once
/// From the colour numbers of a file to bytes.

#include <cstdint>

#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Factor from the file's colour numbers to 0..255; 0 if they are no colours. `least`, `most` and `all_whole`
/// are those of all numbers of the file.
float colour_factor(ColourKind kind, float least, float most, bool all_whole);

/// The rounded product, kept within 0..255; 0 for NaN.
std::uint8_t to_byte(float value, float factor);

}  // namespace flitchwise::scan
