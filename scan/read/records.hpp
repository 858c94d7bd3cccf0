#pragma once
/// Points in binary records, whatever the order, type and endianness of the fields.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "scan/read/fields.hpp"
#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// One field of all records: value i stands at `offset + i * stride` from the first byte of the data. Record
/// by record, every field has the record's size as stride; field by field, its own size.
struct Column {
  std::size_t offset = 0;
  std::size_t stride = 0;
  Scalar type = Scalar::f32;
};

/// Records with any of these bits set are no points: their coordinates come out as NaN.
struct DropMark {
  Column column;  ///< of type u8
  std::uint8_t bits = 0;
};

struct RecordLayout {
  Column x, y, z;
  std::array<double, 3> scale = {1, 1, 1};  ///< coordinate = stored number * scale + offset
  std::array<double, 3> offset = {0, 0, 0};
  std::optional<DropMark> drop;
  std::optional<Column> r, g, b;
  std::optional<Column> packed;
  ColourKind colour_kind = ColourKind::none;
  bool big_endian = false;
};

/// The layout's columns from the fields' own columns. Requires: roles.has_position().
RecordLayout layout_of(const FieldRoles& roles, const std::vector<Column>& columns, bool big_endian);

/// The value of a number of this type at `address`.
double load(const char* address, Scalar type, bool big_endian);

/// Requires: all columns of `count` records lie inside `data`, a part of the file or of `unpacked`.
class RecordSource : public PointSource {
 public:
  RecordSource(const MappedFile& file, const char* data, std::size_t count, const RecordLayout& layout,
               FileFormat format, std::vector<char> unpacked = {})
      : PointSource({std::move(format), layout.colour_kind}),
        file_(file),
        data_(data),
        count_(count),
        layout_(layout),
        unpacked_(std::move(unpacked)) {}
  void visit(const std::function<void(const Batch&)>& visitor) const override;

 private:
  void fill(Batch& batch, std::size_t first) const;
  void place(Batch& batch, std::size_t first) const;

  const MappedFile& file_;
  const char* data_;
  std::size_t count_;
  RecordLayout layout_;
  std::vector<char> unpacked_;  // keeps its place in memory when it is moved here
};

}  // namespace flitchwise::scan
