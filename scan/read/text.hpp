#pragma once
/// Points in lines of text, one a line, whatever the order and separator of the columns.

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "scan/read/fields.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

enum class TextRole { x, y, z, r, g, b, packed, other, list };  ///< list: a count, then as many values

struct TextLayout {
  std::vector<TextRole> columns;  ///< up to the last one that must be there
  char separator = ' ';  ///< ' ': any run of blanks; else exactly one of it, blanks around it ignored
  ColourKind colour_kind = ColourKind::none;
  bool packed_as_float = false;  ///< the packed colour is written as the float with the same bits
  bool comments = false;  ///< lines that start with # or // are skipped, and so are lines of one column
                          ///< with a count
};

/// A column of a format that names its fields and their types.
struct TextField {
  Scalar type = Scalar::f64;
  bool is_list = false;
};

/// The layout by the fields' roles. Requires: roles.has_position().
TextLayout text_layout_of(const FieldRoles& roles, const std::vector<TextField>& fields);

class TextSource : public PointSource {
 public:
  /// `data` is the part of the file that holds points. Lines are read to its end, but no more than `most`;
  /// fewer than `promised` points are an error.
  TextSource(const MappedFile& file, std::string_view data, const TextLayout& layout, std::uint64_t promised,
             std::uint64_t most, FileFormat format)
      : PointSource({std::move(format), layout.colour_kind}),
        file_(file),
        data_(data),
        layout_(layout),
        promised_(promised),
        most_(most) {}
  void visit(const std::function<void(const Batch&)>& visitor) const override;

 private:
  bool is_skipped(std::string_view line) const;
  bool parse(std::string_view line, Batch& batch) const;
  [[noreturn]] void fail_line(std::string_view line, std::uint64_t points) const;

  const MappedFile& file_;
  std::string_view data_;
  TextLayout layout_;
  std::uint64_t promised_;
  std::uint64_t most_;
};

/// Cuts the next number off the front of `line`. Gives NaN for an empty column and for the usual spellings of
/// "not a number"; false at the end of the line or if there is anything else.
bool take_number(std::string_view& line, char separator, double& number);

}  // namespace flitchwise::scan
