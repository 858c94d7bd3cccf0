#pragma once
/// Which field of a record means what, by its name: shared by every format that names its fields.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Number types of binary files.
enum class Scalar { i8, u8, i16, u16, i32, u32, i64, u64, f32, f64 };

std::size_t size_of(Scalar type);
bool is_floating(Scalar type);

/// Positions in the list of names.
struct FieldRoles {
  std::optional<std::size_t> x, y, z;
  std::optional<std::size_t> r, g, b;
  std::optional<std::size_t> packed;  ///< red, green and blue in one 32-bit word

  bool has_position() const { return x && y && z; }
  bool has_separate_colour() const { return r && g && b; }
  ColourKind colour_kind(Scalar type_of_separate) const;
};

/// The first field of each name counts. Case does not matter.
FieldRoles find_roles(const std::vector<std::string>& names);

std::string lower_case(std::string_view text);

}  // namespace flitchwise::scan
