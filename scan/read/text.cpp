#include "scan/read/text.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <utility>

#include "scan/model/numbers.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

bool is_blank(char letter) {
  return letter == ' ' || letter == '\t' || letter == '\r';
}

void skip_blanks(std::string_view& line) {
  while (!line.empty() && is_blank(line.front())) {
    line.remove_prefix(1);
  }
}

// After a column: blanks, then one separator if the separator is no blank. False if something else follows.
bool end_column(std::string_view& line, char separator) {
  const std::size_t before = line.size();
  skip_blanks(line);
  if (line.empty() || (separator == ' ' && line.size() < before)) {
    return true;
  }
  if (separator != ' ' && line.front() == separator) {
    line.remove_prefix(1);
    return true;
  }
  return false;
}

bool skip_column(std::string_view& line, char separator) {
  skip_blanks(line);
  if (line.empty()) {
    return false;
  }
  while (!line.empty() && line.front() != separator && !(separator == ' ' && is_blank(line.front()))) {
    line.remove_prefix(1);
  }
  return end_column(line, separator);
}

// "12,5" where the comma is no separator: a decimal comma. False if there is none or a second one.
bool take_decimal_comma(std::string_view& line, char separator, double& number) {
  constexpr std::size_t kLongest = 40;  // of a number in any usual spelling
  std::string_view word = line.substr(0, kLongest);
  word = word.substr(0, word.find_first_of(std::string(" \t\r") + separator));
  const std::size_t comma = word.find(',');
  if (separator == ',' || comma == std::string_view::npos) {
    return false;
  }
  std::string with_point(word);
  with_point[comma] = '.';
  const char* end = with_point.data() + with_point.size();
  const char* start = with_point.data() + (with_point.front() == '+' ? 1 : 0);
  double value = 0;
  std::string_view rest = line.substr(word.size());
  if (read_double(start, end, value) != end || !end_column(rest, separator)) {
    return false;
  }
  number = value;
  line = rest;
  return true;
}

// What read_double does not take: a decimal comma, a leading plus, an empty column, "1.#QNAN" and the like.
bool take_odd_number(std::string_view& line, char separator, double& number) {
  number = kNan;
  if (line.front() == separator) {
    line.remove_prefix(1);
    return true;
  }
  if (take_decimal_comma(line, separator, number)) {
    return true;
  }
  if (line.front() == '+' && line.size() > 1 && line[1] != '+' && line[1] != '-') {
    line.remove_prefix(1);
    return take_number(line, separator, number);
  }
  double mantissa = 0;
  const char* const end = line.data() + line.size();
  const char* const stop = read_double(line.data(), end, mantissa);
  const bool has_mark = stop != nullptr && stop != end && *stop == '#';  // 1.#INF, -1.#IND, 1.#QNAN
  return has_mark && skip_column(line, separator);
}

bool is_lone_count(std::string_view line) {
  constexpr std::size_t kMostDigits = 20;  // of a 64-bit number: spares the long lines of points
  std::uint64_t count = 0;
  return line.size() <= kMostDigits && parse_count(take_word(line), count) && take_word(line).empty();
}

void set_packed(double value, bool as_float, Batch& batch) {
  std::uint32_t word = 0;
  if (as_float) {
    word = std::bit_cast<std::uint32_t>(static_cast<float>(value));
  } else if (value >= 0 && value <= std::numeric_limits<std::uint32_t>::max()) {
    word = static_cast<std::uint32_t>(value);
  }
  batch.set_packed(batch.size, word);
}

bool skip_list(std::string_view& line, char separator) {
  double length = 0;
  if (!take_number(line, separator, length) || !(length >= 0)) {
    return false;
  }
  for (double i = 0; i < length; ++i) {
    if (!skip_column(line, separator)) {
      return false;
    }
  }
  return true;
}

// A colour that is no number does not spoil the point.
bool take_colour(std::string_view& line, char separator, double& value) {
  return take_number(line, separator, value) || skip_column(line, separator);
}

/// The numbers of a line by their role.
using RoleNumbers = std::array<double, static_cast<std::size_t>(TextRole::packed) + 1>;

bool take(TextRole role, char separator, std::string_view& line, RoleNumbers& numbers) {
  switch (role) {
    case TextRole::x:
    case TextRole::y:
    case TextRole::z:
    case TextRole::packed:
      return take_number(line, separator, numbers[static_cast<std::size_t>(role)]);
    case TextRole::r:
    case TextRole::g:
    case TextRole::b:
      return take_colour(line, separator, numbers[static_cast<std::size_t>(role)]);
    case TextRole::other:
      return skip_column(line, separator);
    case TextRole::list:
      break;
  }
  return skip_list(line, separator);
}

}  // namespace

bool take_number(std::string_view& line, char separator, double& number) {
  skip_blanks(line);
  if (line.empty()) {
    return false;
  }
  if (const char* const stop = read_double(line.data(), line.data() + line.size(), number)) {
    std::string_view rest = line.substr(static_cast<std::size_t>(stop - line.data()));
    if (end_column(rest, separator)) {
      line = rest;
      number = std::isfinite(number) ? number : kNan;  // out of range, too
      return true;
    }
  }
  return take_odd_number(line, separator, number);
}

TextLayout text_layout_of(const FieldRoles& roles, const std::vector<TextField>& fields) {
  TextLayout layout;
  std::vector<TextRole>& columns = layout.columns;
  for (const TextField& field : fields) {
    columns.push_back(field.is_list ? TextRole::list : TextRole::other);
  }
  const auto set = [&](std::optional<std::size_t> at, TextRole role) {
    if (at) {
      columns[*at] = role;
    }
  };
  set(roles.x, TextRole::x);
  set(roles.y, TextRole::y);
  set(roles.z, TextRole::z);
  if (roles.has_separate_colour()) {
    set(roles.r, TextRole::r);
    set(roles.g, TextRole::g);
    set(roles.b, TextRole::b);
    layout.colour_kind = roles.colour_kind(fields[*roles.r].type);
  } else if (roles.packed) {
    set(roles.packed, TextRole::packed);
    layout.colour_kind = ColourKind::bytes;
    layout.packed_as_float = is_floating(fields[*roles.packed].type);
  }
  while (!columns.empty() && (columns.back() == TextRole::other || columns.back() == TextRole::list)) {
    columns.pop_back();
  }
  return layout;
}

void TextSource::visit(const std::function<void(const Batch&)>& visitor) const {
  Batcher batcher(visitor);
  PageReleaser pages(file_);
  LineCursor lines(data_);
  std::uint64_t points = 0;
  std::string_view line;
  while (points < most_ && lines.next(line)) {
    if (is_skipped(line)) {
      continue;
    }
    if (!parse(line, batcher.open())) {
      fail_line(line, points);
    }
    ++points;
    if (batcher.next()) {
      pages.passed(line.data());
    }
  }
  if (points < promised_) {
    fail_cut_short(file_.path(), points, promised_);
  }
  batcher.finish();
}

bool TextSource::is_skipped(std::string_view line) const {
  skip_blanks(line);
  if (line.empty()) {
    return true;
  }
  if (!layout_.comments) {
    return false;
  }
  return line.front() == '#' || line.starts_with("//") || is_lone_count(line);
}

bool TextSource::parse(std::string_view line, Batch& batch) const {
  RoleNumbers numbers;
  numbers.fill(kNan);
  for (const TextRole role : layout_.columns) {
    if (!take(role, layout_.separator, line, numbers)) {
      return false;
    }
  }
  const auto& [x, y, z, r, g, b, packed] = numbers;
  const std::size_t i = batch.size;
  batch.x[i] = x;
  batch.y[i] = y;
  batch.z[i] = z;
  batch.r[i] = static_cast<float>(r);
  batch.g[i] = static_cast<float>(g);
  batch.b[i] = static_cast<float>(b);
  if (layout_.colour_kind == ColourKind::bytes && !std::isnan(packed)) {
    set_packed(packed, layout_.packed_as_float, batch);
  }
  return true;
}

void TextSource::fail_line(std::string_view line, std::uint64_t points) const {
  const bool last = line.data() + line.size() == data_.data() + data_.size();  // not even a line end follows
  if (last && points < promised_) {
    fail_cut_short(file_.path(), points, promised_);
  }
  const std::string where = "line " + std::to_string(line_number(file_.bytes(), line.data()));
  if (last) {
    fail(file_.path(), "breaks off in " + where + ": the copy was cut short; copy it again");
  }
  fail(file_.path(), "has no point in " + where + " (" + quoted(line) + "): export the scan again");
}

}  // namespace flitchwise::scan
