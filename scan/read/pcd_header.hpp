#pragma once
/// Header of a PCD file (Point Cloud Data, the format of the Point Cloud Library, versions .5 to .7).

#include <cstdint>
#include <string>
#include <vector>

#include "scan/read/fields.hpp"
#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {

struct PcdField {
  std::string name;
  Scalar type = Scalar::f32;
  std::uint64_t count = 1;

  std::size_t size() const { return static_cast<std::size_t>(count) * size_of(type); }
};

struct PcdHeader {
  enum class Encoding { ascii, binary, binary_compressed };
  Encoding encoding = Encoding::ascii;
  std::vector<PcdField> fields;
  FieldRoles roles;
  std::uint64_t points = 0;
  const char* data = nullptr;  ///< first byte after the header

  std::size_t record_size() const;
};

bool looks_like_pcd(const MappedFile& file);

/// Throws InputError with the line that is wrong.
PcdHeader parse_pcd_header(const MappedFile& file);

}  // namespace flitchwise::scan
