#pragma once
/// The lines of an OBJ file: what kind each is, and the numbers in it.

#include <cstdint>
#include <optional>
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
  /// Where the statement given last starts.
  const char* place() const { return start_; }
  /// Throws InputError that names the line of a place.
  [[noreturn]] void fail_at(const char* place, const std::string& what) const;

 private:
  const MappedFile& file_;
  LineCursor lines_;
  const char* start_ = nullptr;
  std::string joined_;
};

/// A face's corner: indices from 0. Either may be of what the file does not have.
struct ObjCorner {
  std::uint32_t vertex = Mesh::kNoTexture;
  std::uint32_t texture = Mesh::kNoTexture;
};

/// Reads "v", "v/vt", "v//vn" or "v/vt/vn"; nothing if `word` is something else. Negative indices count back
/// from the vertices and texture points that the file has shown so far.
std::optional<ObjCorner> parse_corner(std::string_view word, std::size_t vertices, std::size_t textures);

}  // namespace flitchwise::scan
