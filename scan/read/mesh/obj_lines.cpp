#include "scan/read/mesh/obj_lines.hpp"

#include <charconv>
#include <system_error>

#include "scan/read/failure.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

std::string_view without_mark(std::string_view bytes) {
  if (bytes.starts_with(kByteOrderMark)) {
    bytes.remove_prefix(kByteOrderMark.size());
  }
  return bytes;
}

/// Takes a whole number with an optional minus.
bool take_index(std::string_view& word, std::int64_t& index) {
  const auto [stop, error] = std::from_chars(word.data(), word.data() + word.size(), index);
  word.remove_prefix(static_cast<std::size_t>(stop - word.data()));
  return error == std::errc();
}

/// From the file's counting (from 1, or back from the newest) to ours; false if there is no such element.
bool resolve(std::int64_t index, std::uint64_t so_far, std::uint64_t all, std::uint32_t& resolved) {
  const std::int64_t place = index > 0 ? index - 1 : static_cast<std::int64_t>(so_far) + index;
  if (index == 0 || place < 0 || static_cast<std::uint64_t>(place) >= all) {
    return false;
  }
  resolved = static_cast<std::uint32_t>(place);
  return true;
}

}  // namespace

ObjLines::ObjLines(const MappedFile& file) : file_(file), lines_(without_mark(file.bytes())) {}

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

void ObjLines::fail_here(const std::string& what) const {
  fail(file_.path(), "is a damaged OBJ file, line " + std::to_string(line_number(file_.bytes(), start_)) +
                         ": " + what + "; copy or export it again");
}

bool parse_vertex(std::string_view rest, ObjVertex& vertex) {
  constexpr std::size_t kColoured = 6;
  std::array<double, kColoured> numbers{};
  std::size_t count = 0;
  while (count < kColoured && take_number(rest, ' ', numbers.at(count))) {
    ++count;
  }
  vertex.position = {numbers[0], numbers[1], numbers[2]};
  vertex.has_colour = count == kColoured;
  if (vertex.has_colour) {
    vertex.colour = {static_cast<float>(numbers[3]), static_cast<float>(numbers[4]),
                     static_cast<float>(numbers[5])};
  }
  return count >= vertex.position.size();
}

CornerState take_corner(std::string_view& rest, const ObjCounts& so_far, const ObjCounts& all,
                        ObjCorner& corner) {
  std::string_view word = take_word(rest);
  if (word.empty() || word.front() == '#') {
    return CornerState::end;
  }
  std::int64_t index = 0;
  if (!take_index(word, index)) {
    return CornerState::broken;
  }
  if (!resolve(index, so_far.vertices, all.vertices, corner.vertex)) {
    return CornerState::no_such_vertex;
  }
  corner.texture = Mesh::kNoTexture;
  if (word.empty()) {
    return CornerState::ok;
  }
  if (word.front() != '/') {
    return CornerState::broken;
  }
  word.remove_prefix(1);
  if (!word.empty() && word.front() != '/') {
    if (!take_index(word, index)) {
      return CornerState::broken;
    }
    resolve(index, so_far.textures, all.textures, corner.texture);
  }
  return CornerState::ok;
}

}  // namespace flitchwise::scan
