#include "scan/read/pcd_header.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <optional>
#include <string_view>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

using Words = std::vector<std::string_view>;

// Comments included, no header is near this; it bounds the search for the end of a broken one.
constexpr std::size_t kLongestHeader = std::size_t{1} << 20U;

// Far more than any writer's record; keeps the arithmetic on sizes far from overflow.
constexpr std::uint64_t kMostValuesInField = 1'000'000;
constexpr std::size_t kMostFields = 10'000;

std::optional<Scalar> type_of(std::string_view letter, std::string_view size) {
  static const std::map<std::pair<std::string_view, std::string_view>, Scalar> kTypes = {
      {{"F", "4"}, Scalar::f32}, {{"F", "8"}, Scalar::f64}, {{"U", "1"}, Scalar::u8},
      {{"I", "1"}, Scalar::i8},  {{"U", "2"}, Scalar::u16}, {{"I", "2"}, Scalar::i16},
      {{"U", "4"}, Scalar::u32}, {{"I", "4"}, Scalar::i32}, {{"U", "8"}, Scalar::u64},
      {{"I", "8"}, Scalar::i64}};
  const auto at = kTypes.find({letter, size});
  return at == kTypes.end() ? std::nullopt : std::optional(at->second);
}

class HeaderReader {
 public:
  explicit HeaderReader(const MappedFile& file)
      : file_(file), lines_(file.bytes().substr(0, kLongestHeader)) {}

  PcdHeader read() {
    std::string_view line;
    while (lines_.next(line) && !lines_.line_is_cut()) {
      ++number_;
      const std::string_view key = take_word(line);
      if (key.empty() || key.front() == '#') {
        continue;
      }
      entries_[key == "COLUMNS" ? "FIELDS" : key] = split(line);
      if (key == "DATA") {
        return finish();
      }
    }
    fail(file_.path(), "ends inside its PCD header: the copy was cut short; copy it again");
  }

 private:
  static Words split(std::string_view line) {
    Words words;
    for (std::string_view word = take_word(line); !word.empty(); word = take_word(line)) {
      words.push_back(word);
    }
    return words;
  }

  [[noreturn]] void fail_header(const std::string& what) const {
    fail(file_.path(), "has a broken PCD header (up to line " + std::to_string(number_) + "): " + what +
                           "; export the scan again");
  }

  PcdHeader finish() {
    read_fields();
    read_points();
    read_encoding();
    header_.data = lines_.position();
    return header_;
  }

  /// The words of an entry, one a field; `otherwise` for every field if the entry is missing.
  Words one_a_field(std::string_view key, std::string_view otherwise) const {
    const auto at = entries_.find(key);
    const std::size_t fields = entries_.at("FIELDS").size();
    if (at == entries_.end()) {
      return Words(fields, otherwise);
    }
    if (at->second.size() != fields) {
      fail_header(std::string(key) + " has " + std::to_string(at->second.size()) + " entries for " +
                  std::to_string(fields) + " fields");
    }
    return at->second;
  }

  void read_fields() {
    if (!entries_.contains("FIELDS") || entries_.at("FIELDS").size() > kMostFields) {
      fail_header("it names no FIELDS");
    }
    const Words& names = entries_.at("FIELDS");
    const Words types = one_a_field("TYPE", "F");
    const Words sizes = one_a_field("SIZE", "4");
    const Words counts = one_a_field("COUNT", "1");
    std::vector<std::string> single_names;
    for (std::size_t i = 0; i < names.size(); ++i) {
      const std::optional<Scalar> type = type_of(types[i], sizes[i]);
      PcdField field{std::string(names[i]), type.value_or(Scalar::u8), 0};
      if (!type || !parse_count(counts[i], field.count) || field.count > kMostValuesInField) {
        fail_header("field " + quoted(names[i]) + " has no usable SIZE, TYPE and COUNT");
      }
      single_names.push_back(field.count == 1 ? field.name : std::string());
      header_.fields.push_back(std::move(field));
    }
    header_.roles = find_roles(single_names);
    if (!header_.roles.has_position()) {
      fail_header("its points have no fields x, y and z");
    }
  }

  std::optional<std::uint64_t> number(std::string_view key) const {
    const auto at = entries_.find(key);
    if (at == entries_.end()) {
      return std::nullopt;
    }
    std::uint64_t value = 0;
    if (at->second.size() != 1 || !parse_count(at->second.front(), value)) {
      fail_header(std::string(key) + " is no number");
    }
    return value;
  }

  void read_points() {
    const auto points = number("POINTS");
    const auto width = number("WIDTH");
    const auto height = number("HEIGHT");
    if (!points && !width) {
      fail_header("it has neither POINTS nor WIDTH");
    }
    const std::uint64_t rows = height.value_or(1);
    const bool too_many = width && rows > 0 && *width > std::numeric_limits<std::uint64_t>::max() / rows;
    const std::uint64_t area = width && !too_many ? *width * rows : points.value_or(0);
    if (too_many || (points && *points != area)) {
      fail_header("POINTS is not WIDTH times HEIGHT");
    }
    header_.points = area;
  }

  void read_encoding() {
    const Words& words = entries_.at("DATA");
    const std::string_view word = words.empty() ? std::string_view() : words.front();
    if (word == "ascii") {
      header_.encoding = PcdHeader::Encoding::ascii;
    } else if (word == "binary") {
      header_.encoding = PcdHeader::Encoding::binary;
    } else if (word == "binary_compressed") {
      header_.encoding = PcdHeader::Encoding::binary_compressed;
    } else {
      fail_header("unknown kind of DATA " + quoted(word));
    }
  }

  const MappedFile& file_;
  LineCursor lines_;
  std::uint64_t number_ = 0;
  std::map<std::string_view, Words> entries_;
  PcdHeader header_;
};

}  // namespace

std::size_t PcdHeader::record_size() const {
  std::size_t size = 0;
  for (const PcdField& field : fields) {
    size += field.size();
  }
  return size;
}

bool looks_like_pcd(const MappedFile& file) {
  constexpr std::size_t kFarEnough = 4096;  // comments before the first entry are short
  LineCursor lines(file.bytes().substr(0, kFarEnough));
  std::string_view line;
  while (lines.next(line)) {
    std::string_view rest = line;
    const std::string_view word = take_word(rest);
    if (word == "VERSION" || word == "FIELDS" || word == "COLUMNS") {
      return true;
    }
    if (!word.empty() && word.front() == '#') {
      if (line.find(".PCD v") != std::string_view::npos) {
        return true;
      }
    } else if (!word.empty()) {
      return false;
    }
  }
  return false;
}

PcdHeader parse_pcd_header(const MappedFile& file) {
  return HeaderReader(file).read();
}

}  // namespace flitchwise::scan
