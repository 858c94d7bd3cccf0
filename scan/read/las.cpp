#include "scan/read/las.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <string>

#include "scan/read/failure.hpp"
#include "scan/read/records.hpp"

namespace flitchwise::scan {
namespace {

// Places in the public header block (LAS 1.4 R15, table 3), the same in every version up to its length.
constexpr std::size_t kMajorAt = 24;
constexpr std::size_t kMinorAt = 25;
constexpr std::size_t kDataOffsetAt = 96;
constexpr std::size_t kFormatAt = 104;
constexpr std::size_t kRecordSizeAt = 105;
constexpr std::size_t kLegacyCountAt = 107;
constexpr std::size_t kScaleAt = 131;
constexpr std::size_t kOffsetAt = 155;
constexpr std::size_t kShortestHeader = 227;
constexpr std::size_t kCountAt = 247;  // from 1.4 on
constexpr std::size_t kHeaderOf14 = 375;
constexpr unsigned kFirstMinorWithLongCount = 4;
constexpr unsigned kCompressedBits = 0xC0;  // LASzip sets the highest bits of the point format

/// A point data record format (LAS 1.4 R15, tables 7 to 17).
struct PointFormat {
  std::uint16_t size;     ///< of a record without extra bytes
  std::uint16_t colour;   ///< place of red, green and blue; 0: none
  std::uint16_t flags;    ///< place of the byte with the mark "withheld"
  std::uint8_t withheld;  ///< its bit there
};

constexpr std::uint8_t kWithheldOld = 0x80;  // beside the classification
constexpr std::uint8_t kWithheldNew = 0x04;  // among the classification flags
constexpr std::array<PointFormat, 11> kFormats = {{
    {20, 0, 15, kWithheldOld},
    {28, 0, 15, kWithheldOld},
    {26, 20, 15, kWithheldOld},
    {34, 28, 15, kWithheldOld},
    {57, 0, 15, kWithheldOld},
    {63, 28, 15, kWithheldOld},
    {30, 0, 15, kWithheldNew},
    {36, 30, 15, kWithheldNew},
    {38, 30, 15, kWithheldNew},
    {59, 0, 15, kWithheldNew},
    {67, 30, 15, kWithheldNew},
}};

[[noreturn]] void fail_header(const MappedFile& file, const std::string& what) {
  fail(file.path(), "has a broken LAS header (" + what + "): export the scan again");
}

class LasHeader {
 public:
  explicit LasHeader(const MappedFile& file) : file_(file) {
    if (file.bytes().size() < kShortestHeader) {
      fail(file.path(), "ends inside its LAS header: the copy was cut short; copy it again");
    }
  }

  std::uint64_t whole(std::size_t at, Scalar type) const {
    return static_cast<std::uint64_t>(number(at, type));
  }
  double number(std::size_t at, Scalar type) const { return load(file_.bytes().data() + at, type, false); }

  unsigned minor() const { return static_cast<unsigned>(whole(kMinorAt, Scalar::u8)); }
  std::string version() const {
    return std::to_string(whole(kMajorAt, Scalar::u8)) + '.' + std::to_string(minor());
  }

  /// The 64-bit count where there is one; writers that fill in the old field alone exist.
  std::uint64_t points() const {
    const bool has_long_count = minor() >= kFirstMinorWithLongCount && file_.bytes().size() >= kHeaderOf14;
    const std::uint64_t points = has_long_count ? long_count() : 0;
    return points > 0 ? points : whole(kLegacyCountAt, Scalar::u32);
  }

 private:
  // Not by way of a double, which would round it and may lie outside the 64 bits.
  std::uint64_t long_count() const {
    constexpr unsigned kHalf = 32;
    return whole(kCountAt, Scalar::u32) | whole(kCountAt + 4, Scalar::u32) << kHalf;
  }

  const MappedFile& file_;
};

RecordLayout layout_for(const MappedFile& file, const LasHeader& header, const PointFormat& format,
                        std::size_t stride) {
  constexpr std::size_t kWord = 4;
  constexpr std::size_t kDouble = 8;
  constexpr std::size_t kChannel = 2;
  RecordLayout layout;
  layout.x = {0, stride, Scalar::i32};
  layout.y = {kWord, stride, Scalar::i32};
  layout.z = {2 * kWord, stride, Scalar::i32};
  for (std::size_t axis = 0; axis < layout.scale.size(); ++axis) {
    layout.scale[axis] = header.number(kScaleAt + axis * kDouble, Scalar::f64);
    layout.offset[axis] = header.number(kOffsetAt + axis * kDouble, Scalar::f64);
    if (!std::isfinite(layout.scale[axis]) || layout.scale[axis] == 0 ||
        !std::isfinite(layout.offset[axis])) {
      fail_header(file, "the scale or offset of its coordinates is no usable number");
    }
  }
  layout.drop = DropMark{{format.flags, stride, Scalar::u8}, format.withheld};
  if (format.colour > 0) {
    layout.r = Column{format.colour, stride, Scalar::u16};
    layout.g = Column{format.colour + kChannel, stride, Scalar::u16};
    layout.b = Column{format.colour + 2 * kChannel, stride, Scalar::u16};
    // 16 bits by the specification, but many writers put 0 to 255 there.
    layout.colour_kind = ColourKind::integers;
  }
  return layout;
}

}  // namespace

bool looks_like_las(const MappedFile& file) {
  return file.bytes().starts_with("LASF");
}

std::unique_ptr<PointSource> open_las(const MappedFile& file) {
  const LasHeader header(file);
  const auto format = static_cast<unsigned>(header.whole(kFormatAt, Scalar::u8));
  if ((format & kCompressedBits) != 0) {
    fail(file.path(),
         "is a compressed LAZ scan, which is not read: open it in CloudCompare (free) and save it as PLY, or "
         "convert it with the free PDAL: pdal translate IN.laz OUT.las");
  }
  if (header.whole(kMajorAt, Scalar::u8) != 1 || format >= kFormats.size()) {
    fail(file.path(), "is LAS " + header.version() + " with point format " + std::to_string(format) +
                          ", which is not read: save it as LAS 1.4 or PLY");
  }
  const auto stride = static_cast<std::size_t>(header.whole(kRecordSizeAt, Scalar::u16));
  if (stride < kFormats[format].size) {
    fail_header(file, "a point of format " + std::to_string(format) + " cannot have " +
                          std::to_string(stride) + " bytes");
  }
  const auto data = static_cast<std::size_t>(header.whole(kDataOffsetAt, Scalar::u32));
  if (data < kShortestHeader) {
    fail_header(file, "its points begin inside it");
  }
  const std::uint64_t points = header.points();
  const std::size_t size = file.bytes().size();
  const std::uint64_t held = data < size ? (size - data) / stride : 0;
  if (points > held) {
    fail_cut_short(file.path(), held, points);
  }
  // Without points the place of the data may lie beyond the end of the file.
  const char* first = file.bytes().data() + std::min(data, size);
  return std::make_unique<RecordSource>(
      file, first, points, layout_for(file, header, kFormats[format], stride),
      FileFormat{FileFormat::Kind::las, FileFormat::Coding::plain, header.version()});
}

}  // namespace flitchwise::scan
