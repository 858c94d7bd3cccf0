#include "scan/read/mesh/obj_lines.hpp"

#include <charconv>
#include <system_error>

#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

/// Cuts an index off the front of `word`: from the file's counting (from 1, or back from the `so_far` newest)
/// to ours. Mesh::kNoTexture for what cannot be there; nothing if it is no whole number.
std::optional<std::uint32_t> take_index(std::string_view& word, std::size_t so_far) {
  std::int64_t index = 0;
  const auto [stop, error] = std::from_chars(word.data(), word.data() + word.size(), index);
  word.remove_prefix(static_cast<std::size_t>(stop - word.data()));
  if (error != std::errc()) {
    return std::nullopt;
  }
  const std::int64_t place = index > 0 ? index - 1 : static_cast<std::int64_t>(so_far) + index;
  return index != 0 && place >= 0 && place < Mesh::kNoTexture ? static_cast<std::uint32_t>(place)
                                                              : Mesh::kNoTexture;
}

}  // namespace

ObjLines::ObjLines(const MappedFile& file) : file_(file), lines_(without_byte_order_mark(file.bytes())) {}

bool ObjLines::next(std::string_view& word, std::string_view& rest) {
  std::string_view line;
  while (lines_.next(line)) {
    start_ = line.data();
    if (!line.empty() && line.back() == '\\') {
      joined_.clear();
      do {
        joined_.append(line.substr(0, line.size() - (line.ends_with('\\') ? 1 : 0))) += ' ';
      } while (line.ends_with('\\') && lines_.next(line));
      line = joined_;
    }
    word = take_word(line);
    if (!word.empty() && word.front() != '#') {
      rest = line;
      return true;
    }
  }
  return false;
}

void ObjLines::fail_at(const char* place, const std::string& what) const {
  fail(file_.path(), "is a damaged OBJ file, line " + std::to_string(line_number(file_.bytes(), place)) +
                         ": " + what + "; copy or export it again");
}

std::optional<ObjCorner> parse_corner(std::string_view word, std::size_t vertices, std::size_t textures) {
  const std::optional<std::uint32_t> vertex = take_index(word, vertices);
  if (!vertex || !(word.empty() || word.front() == '/')) {
    return std::nullopt;
  }
  ObjCorner corner{*vertex};
  word.remove_prefix(word.empty() ? 0 : 1);
  if (!word.empty() && word.front() != '/') {
    const std::optional<std::uint32_t> texture = take_index(word, textures);
    if (!texture) {
      return std::nullopt;
    }
    corner.texture = *texture;
  }
  return corner;
}

}  // namespace flitchwise::scan
