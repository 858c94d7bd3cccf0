#pragma once
/// Which field of a record means what, by its name: shared by every format that names its fields.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Number types of binary files.
enum class Scalar { i8, u8, i16, u16, i32, u32, i64, u64, f32, f64 };

/// Calls `use` with a zero of the C++ type that `type` stands for.
template <typename Use>
auto with_type(Scalar type, const Use& use) {
  switch (type) {
    case Scalar::i8:
      return use(std::int8_t{});
    case Scalar::u8:
      return use(std::uint8_t{});
    case Scalar::i16:
      return use(std::int16_t{});
    case Scalar::u16:
      return use(std::uint16_t{});
    case Scalar::i32:
      return use(std::int32_t{});
    case Scalar::u32:
      return use(std::uint32_t{});
    case Scalar::i64:
      return use(std::int64_t{});
    case Scalar::u64:
      return use(std::uint64_t{});
    case Scalar::f32:
      return use(float{});
    case Scalar::f64:
      break;
  }
  return use(double{});
}

inline std::size_t size_of(Scalar type) {
  return with_type(type, [](auto zero) { return sizeof(zero); });
}
inline bool is_floating(Scalar type) {
  return type == Scalar::f32 || type == Scalar::f64;
}

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
