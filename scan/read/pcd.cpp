#include "scan/read/pcd.hpp"

#include <liblzf/lzf.h>

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "scan/read/failure.hpp"
#include "scan/read/pcd_header.hpp"
#include "scan/read/records.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

std::string_view data_of(const MappedFile& file, const PcdHeader& header) {
  return file.bytes().substr(static_cast<std::size_t>(header.data - file.bytes().data()));
}

std::unique_ptr<PointSource> open_ascii(const MappedFile& file, const PcdHeader& header) {
  FieldRoles roles = header.roles;
  std::vector<std::size_t> first_column;
  std::vector<TextField> columns;
  for (const PcdField& field : header.fields) {
    first_column.push_back(columns.size());
    columns.insert(columns.end(), static_cast<std::size_t>(field.count), {field.type});
    if (columns.size() > file.bytes().size()) {
      fail_cut_short(file.path(), 0, header.points);  // not even one point has room
    }
  }
  for (auto* role : {&roles.x, &roles.y, &roles.z, &roles.r, &roles.g, &roles.b, &roles.packed}) {
    *role = *role ? std::optional(first_column[**role]) : std::nullopt;
  }
  return std::make_unique<TextSource>(file, data_of(file, header), text_layout_of(roles, columns),
                                      header.points, header.points,
                                      FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::ascii});
}

std::unique_ptr<PointSource> open_binary(const MappedFile& file, const PcdHeader& header) {
  const std::string_view data = data_of(file, header);
  const std::size_t stride = header.record_size();
  if (header.points > data.size() / stride) {
    fail_cut_short(file.path(), data.size() / stride, header.points);
  }
  std::vector<Column> columns;
  std::size_t offset = 0;
  for (const PcdField& field : header.fields) {
    columns.push_back({offset, stride, field.type});
    offset += field.size();
  }
  return std::make_unique<RecordSource>(file, data.data(), header.points,
                                        layout_of(header.roles, columns, false),
                                        FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::binary});
}

std::vector<char> unpack(const MappedFile& file, const PcdHeader& header) {
  const std::string_view data = data_of(file, header);
  constexpr std::size_t kSizes = 2 * sizeof(std::uint32_t);
  if (data.size() < kSizes) {
    fail_cut_short(file.path(), 0, header.points);
  }
  const auto packed = static_cast<std::uint32_t>(load(data.data(), Scalar::u32, false));
  const auto plain = static_cast<std::uint32_t>(load(data.data() + sizeof(packed), Scalar::u32, false));
  if (packed > data.size() - kSizes) {
    fail(file.path(), "holds " + grouped(data.size() - kSizes) + " of " + grouped(packed) +
                          " compressed bytes: the copy was cut short; copy it again");
  }
  // Three bytes of this compression stand for 264 at most: a larger claim is a lie and must not allocate.
  constexpr std::uint64_t kMostGain = 88;
  const std::size_t record = header.record_size();
  if (plain / record != header.points || plain % record != 0 || plain > packed * kMostGain) {
    fail(file.path(), "is a compressed PCD whose sizes contradict its header: export the scan again");
  }
  std::vector<char> block(plain);
  if (plain > 0 && lzf_decompress(data.data() + kSizes, packed, block.data(), plain) != plain) {
    fail(file.path(), "is a compressed PCD whose data is damaged: copy it again");
  }
  return block;
}

// Compressed files hold all values of one field together.
std::unique_ptr<PointSource> open_compressed(const MappedFile& file, const PcdHeader& header) {
  std::vector<char> block = unpack(file, header);
  std::vector<Column> columns;
  std::size_t offset = 0;
  for (const PcdField& field : header.fields) {
    columns.push_back({offset, field.size(), field.type});
    offset += field.size() * static_cast<std::size_t>(header.points);
  }
  const char* const data = block.data();
  return std::make_unique<RecordSource>(file, data, header.points, layout_of(header.roles, columns, false),
                                        FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::compressed},
                                        std::move(block));
}

}  // namespace

std::unique_ptr<PointSource> open_pcd(const MappedFile& file) {
  const PcdHeader header = parse_pcd_header(file);
  switch (header.encoding) {
    case PcdHeader::Encoding::ascii:
      return open_ascii(file, header);
    case PcdHeader::Encoding::binary:
      return open_binary(file, header);
    case PcdHeader::Encoding::binary_compressed:
      break;
  }
  return open_compressed(file, header);
}

}  // namespace flitchwise::scan
