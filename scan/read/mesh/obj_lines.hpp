#pragma once
/// The lines of an OBJ file: what kind each is, and the numbers in it.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "scan/read/cursor.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/mesh/mesh.hpp"

namespace flitchwise::scan {

/// Walks through the statements of an OBJ file; a line that ends in a backslash goes on in the next.
class ObjLines {
 public:
  explicit ObjLines(const MappedFile& file);
  /// The next statement's first word and the rest of it; false at the end. Comments and empty lines are
  /// passed over.
  bool next(std::string_view& word, std::string_view& rest);
  const char* position() const { return lines_.position(); }
  /// Throws InputError that names the statement given last.
  [[noreturn]] void fail_here(const std::string& what) const;

 private:
  const MappedFile& file_;
  LineCursor lines_;
  const char* start_ = nullptr;
  std::string joined_;
};

/// A vertex: position and, with six numbers or more, colour.
struct ObjVertex {
  std::array<double, 3> position{};
  std::array<float, 3> colour{};
  bool has_colour = false;
};

/// False if the line does not start with three numbers.
bool parse_vertex(std::string_view rest, ObjVertex& vertex);

/// A face's corner: indices from 0, or none.
struct ObjCorner {
  std::uint32_t vertex = 0;
  std::uint32_t texture = Mesh::kNoTexture;
};

/// How many of each the file has shown so far; negative indices count back from here.
struct ObjCounts {
  std::uint64_t vertices = 0;
  std::uint64_t textures = 0;
};

enum class CornerState { ok, end, broken, no_such_vertex };

/// Cuts the next "v", "v/vt", "v//vn" or "v/vt/vn" off the front. `all` tells how many there are in the whole
/// file. A texture point that is not there counts as none.
CornerState take_corner(std::string_view& rest, const ObjCounts& so_far, const ObjCounts& all,
                        ObjCorner& corner);

}  // namespace flitchwise::scan
