#pragma once
/// Header of a PLY file (Turk, "The PLY Polygon File Format", 1994, and the sized type names in use since).

#include <cstdint>
#include <string>
#include <vector>

#include "scan/read/fields.hpp"
#include "scan/read/mapped_file.hpp"

namespace flitchwise::scan {

struct PlyProperty {
  std::string name;
  Scalar type = Scalar::f32;  ///< of the value, or of a list's items
  bool is_list = false;
  Scalar count_type = Scalar::u8;  ///< of a list's length
};

struct PlyElement {
  std::string name;
  std::uint64_t count = 0;
  std::vector<PlyProperty> properties;

  bool has_list() const;
  std::size_t fixed_size() const;  ///< bytes of a binary record without its lists
};

struct PlyHeader {
  enum class Encoding { ascii, little_endian, big_endian };
  Encoding encoding = Encoding::ascii;
  std::vector<PlyElement> elements;
  std::size_t vertex = 0;             ///< index of the element "vertex"
  FieldRoles roles;                   ///< of the vertex element's properties
  std::vector<std::string> pictures;  ///< named by "comment TextureFile ...": colours of a mesh's faces
  const char* data = nullptr;         ///< first byte after the header
};

/// Requires: the file starts with "ply" and a line end. Throws InputError with the line that is wrong.
PlyHeader parse_ply_header(const MappedFile& file);

}  // namespace flitchwise::scan
