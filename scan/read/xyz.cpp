#include "scan/read/xyz.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

constexpr std::size_t kPosition = 3;  // columns of a bare point

/// What stands before the first point, and how its line is built.
struct Opening {
  std::vector<std::string> names;  ///< column names, if a line has them
  std::vector<std::uint64_t> lone_counts;
  std::string_view first_point;
  char separator = ' ';
  std::size_t columns = 0;
};

std::size_t count_numbers(std::string_view line, char separator) {
  std::size_t count = 0;
  double number = 0;
  while (take_number(line, separator, number)) {
    ++count;
  }
  return count;
}

std::size_t count_columns(std::string_view line, char separator) {
  if (separator != ' ') {
    return 1 + static_cast<std::size_t>(std::count(line.begin(), line.end(), separator));
  }
  std::size_t count = 0;
  while (!take_word(line).empty()) {
    ++count;
  }
  return count;
}

/// The separator with which the line starts with three numbers; a semicolon before a comma before blanks,
/// because blanks may stand beside the others.
std::optional<char> find_separator(std::string_view line) {
  for (const char separator : {';', ',', ' '}) {
    if (count_numbers(line, separator) >= kPosition) {
      return separator;
    }
  }
  return std::nullopt;
}

/// Names out of "//X Y Z R G B", "x,y,z", "\"X\";\"Y\"" or "# x[m] y[m] z[m]".
std::vector<std::string> split_names(std::string_view line) {
  std::vector<std::string> names;
  std::string name;
  bool in_unit = false;
  for (const char letter : std::string(line) + ' ') {
    const bool ends = letter == ' ' || letter == '\t' || letter == ',' || letter == ';';
    in_unit = !ends && (in_unit || letter == '[' || letter == '(');
    if (ends && !name.empty()) {
      names.push_back(std::exchange(name, std::string()));
    } else if (!ends && !in_unit && letter != '#' && letter != '/' && letter != '"') {
      name += letter;
    }
  }
  return names;
}

bool is_comment(std::string_view line) {
  return line.starts_with('#') || line.starts_with("//");
}

/// Reads up to the first point. Nothing if none comes within the first lines.
std::optional<Opening> read_opening(std::string_view text) {
  constexpr int kMostLines = 100;  // comments before the first point
  constexpr int kMostOther = 1;    // a line of column names
  Opening opening;
  LineCursor lines(text);
  std::string_view line;
  int other = 0;
  for (int i = 0; i < kMostLines && lines.next(line); ++i) {
    std::string_view rest = line;
    const std::string_view word = take_word(rest);
    std::uint64_t count = 0;
    if (word.empty()) {
      continue;
    }
    if (parse_count(word, count) && take_word(rest).empty()) {
      opening.lone_counts.push_back(count);
    } else if (const auto separator = is_comment(word) ? std::nullopt : find_separator(line)) {
      opening.first_point = line;
      opening.separator = *separator;
      opening.columns = count_columns(line, *separator);
      return opening;
    } else {
      std::vector<std::string> names = split_names(line);
      if (find_roles(names).has_position()) {
        opening.names = std::move(names);
      }
      other += is_comment(word) ? 0 : 1;
      if (other > kMostOther) {
        return std::nullopt;
      }
    }
  }
  return std::nullopt;
}

/// By the column names. A line of names may hold more words than there are columns: those count that have
/// one.
FieldRoles usable_roles(const Opening& opening) {
  FieldRoles roles = find_roles(opening.names);
  const auto is_there = [&](std::optional<std::size_t> at) { return at && *at < opening.columns; };
  if (!is_there(roles.x) || !is_there(roles.y) || !is_there(roles.z)) {
    return {};
  }
  if (!is_there(roles.r) || !is_there(roles.g) || !is_there(roles.b)) {
    roles.r.reset();
  }
  return roles;
}

TextLayout layout_for(const Opening& opening) {
  constexpr std::size_t kPtsColumns = 7;  // x y z intensity r g b
  constexpr std::size_t kColour = 3;
  FieldRoles roles = usable_roles(opening);
  const bool is_guessed = !roles.has_position();
  roles.packed.reset();
  if (is_guessed) {
    roles.x = 0;
    roles.y = 1;
    roles.z = 2;
    if (opening.columns >= kPosition + kColour) {
      const std::size_t first = opening.columns == kPtsColumns ? kPosition + 1 : kPosition;
      roles.r = first;
      roles.g = first + 1;
      roles.b = first + 2;
    }
  }
  TextLayout layout = text_layout_of(roles, std::vector<TextField>(opening.columns));
  layout.separator = opening.separator;
  layout.comments = true;
  if (is_guessed && roles.has_separate_colour()) {
    layout.colour_kind = ColourKind::guessed;
  }
  return layout;
}

}  // namespace

std::unique_ptr<PointSource> open_xyz(const MappedFile& file) {
  std::string_view text = without_byte_order_mark(file.bytes());
  const std::optional<Opening> opening = read_opening(text);
  if (!opening) {
    return nullptr;
  }
  if (opening->lone_counts.size() > 1) {
    fail(file.path(), "looks like a PTX scan, which is not read: export it as PLY or PTS");
  }
  const auto skipped = static_cast<std::size_t>(opening->first_point.data() - text.data());
  text.remove_prefix(skipped);
  // PTS: every block of points has its count before it. Only the first count is held against the file,
  // because further ones are skipped over like comments.
  const std::uint64_t promised = opening->lone_counts.empty() ? 0 : opening->lone_counts.front();
  return std::make_unique<TextSource>(file, text, layout_for(*opening), promised,
                                      std::numeric_limits<std::uint64_t>::max(),
                                      FileFormat{FileFormat::Kind::xyz});
}

}  // namespace flitchwise::scan
