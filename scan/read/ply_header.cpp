#include "scan/read/ply_header.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

std::optional<Scalar> type_named(std::string_view name) {
  static constexpr std::array<std::pair<std::string_view, Scalar>, 20> kTypes = {{
      {"float", Scalar::f32},  {"float32", Scalar::f32}, {"double", Scalar::f64}, {"float64", Scalar::f64},
      {"uchar", Scalar::u8},   {"uint8", Scalar::u8},    {"char", Scalar::i8},    {"int8", Scalar::i8},
      {"ushort", Scalar::u16}, {"uint16", Scalar::u16},  {"short", Scalar::i16},  {"int16", Scalar::i16},
      {"uint", Scalar::u32},   {"uint32", Scalar::u32},  {"int", Scalar::i32},    {"int32", Scalar::i32},
      {"ulong", Scalar::u64},  {"uint64", Scalar::u64},  {"long", Scalar::i64},   {"int64", Scalar::i64},
  }};
  const auto* const at =
      std::find_if(kTypes.begin(), kTypes.end(), [&](const auto& entry) { return entry.first == name; });
  return at == kTypes.end() ? std::nullopt : std::optional(at->second);
}

/// Reads the header line by line into a PlyHeader.
class HeaderReader {
 public:
  explicit HeaderReader(const MappedFile& file)
      : file_(file), lines_(file.bytes().substr(0, kLongestHeader)) {}
  PlyHeader read();

 private:
  // Comments included, no header is near this; it bounds the search for the end of a broken one.
  static constexpr std::size_t kLongestHeader = std::size_t{1} << 20U;

  [[noreturn]] void fail_here(const std::string& what) const {
    fail(file_.path(), "has a broken PLY header, line " + std::to_string(number_) + ": " + what +
                           "; export the scan again");
  }
  void parse(std::string_view line);
  void parse_comment(std::string_view rest);
  void parse_format(std::string_view rest);
  void parse_element(std::string_view rest);
  void parse_property(std::string_view rest);
  Scalar parse_type(std::string_view name) const;
  void finish();

  const MappedFile& file_;
  LineCursor lines_;
  std::uint64_t number_ = 0;
  bool has_format_ = false;
  PlyHeader header_;
};

PlyHeader HeaderReader::read() {
  std::string_view line;
  while (lines_.next(line) && !lines_.line_is_cut()) {
    ++number_;
    std::string_view rest = line;
    if (take_word(rest) == "end_header") {
      finish();
      return header_;
    }
    if (number_ > 1) {
      parse(line);
    }
  }
  fail(file_.path(), "ends inside its PLY header: the copy was cut short; copy it again");
}

void HeaderReader::parse(std::string_view line) {
  const std::string_view word = take_word(line);
  if (word == "format") {
    parse_format(line);
  } else if (word == "element") {
    parse_element(line);
  } else if (word == "property") {
    parse_property(line);
  } else if (word == "comment") {
    parse_comment(line);
  } else if (!word.empty() && word != "obj_info") {
    fail_here("unknown word " + quoted(word));
  }
}

void HeaderReader::parse_comment(std::string_view rest) {
  if (take_word(rest) == "TextureFile") {  // common use, not in Turk's text
    rest.remove_prefix(std::min(rest.find_first_not_of(" \t"), rest.size()));
    header_.pictures.emplace_back(rest);
  }
}

void HeaderReader::parse_format(std::string_view rest) {
  const std::string_view word = take_word(rest);
  if (has_format_) {
    fail_here("a second format");
  }
  has_format_ = true;
  if (word == "ascii") {
    header_.encoding = PlyHeader::Encoding::ascii;
  } else if (word == "binary_little_endian") {
    header_.encoding = PlyHeader::Encoding::little_endian;
  } else if (word == "binary_big_endian") {
    header_.encoding = PlyHeader::Encoding::big_endian;
  } else {
    fail_here("unknown format " + quoted(word));
  }
}

void HeaderReader::parse_element(std::string_view rest) {
  PlyElement element;
  element.name = take_word(rest);
  const std::string_view count = take_word(rest);
  if (element.name.empty() || !parse_count(count, element.count)) {
    fail_here("an element needs a name and a count");
  }
  header_.elements.push_back(std::move(element));
}

void HeaderReader::parse_property(std::string_view rest) {
  if (header_.elements.empty()) {
    fail_here("a property before the first element");
  }
  PlyProperty property;
  std::string_view type = take_word(rest);
  if (type == "list") {
    property.is_list = true;
    property.count_type = parse_type(take_word(rest));
    type = take_word(rest);
  }
  property.type = parse_type(type);
  property.name = take_word(rest);
  if (property.name.empty()) {
    fail_here("a property without a name");
  }
  header_.elements.back().properties.push_back(std::move(property));
}

Scalar HeaderReader::parse_type(std::string_view name) const {
  const std::optional<Scalar> type = type_named(name);
  if (!type) {
    fail_here("unknown number type " + quoted(name));
  }
  return *type;
}

void HeaderReader::finish() {
  const auto is_vertex = [](const PlyElement& element) { return element.name == "vertex"; };
  const auto& elements = header_.elements;
  const auto at = std::find_if(elements.begin(), elements.end(), is_vertex);
  if (!has_format_) {
    fail_here("no format is named");
  }
  if (at == elements.end()) {
    fail_here("no element is named \"vertex\"");
  }
  if (std::any_of(at + 1, elements.end(), is_vertex)) {
    fail_here("two elements are named \"vertex\"");
  }
  std::vector<std::string> names;
  for (const PlyProperty& property : at->properties) {
    names.push_back(property.is_list ? std::string() : property.name);
  }
  header_.vertex = static_cast<std::size_t>(at - elements.begin());
  header_.roles = find_roles(names);
  if (!header_.roles.has_position()) {
    fail_here("its points have no properties x, y and z");
  }
  header_.data = lines_.position();
}

}  // namespace

bool PlyElement::has_list() const {
  return std::any_of(properties.begin(), properties.end(), [](const PlyProperty& p) { return p.is_list; });
}

std::size_t PlyElement::fixed_size() const {
  std::size_t size = 0;
  for (const PlyProperty& property : properties) {
    size += property.is_list ? 0 : size_of(property.type);
  }
  return size;
}

PlyHeader parse_ply_header(const MappedFile& file) {
  return HeaderReader(file).read();
}

}  // namespace flitchwise::scan
