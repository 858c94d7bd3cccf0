#include "scan/read/ply.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <string>
#include <utility>

#include "scan/read/failure.hpp"
#include "scan/read/mesh/ply_mesh.hpp"
#include "scan/read/ply_header.hpp"
#include "scan/read/ply_records.hpp"
#include "scan/read/records.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

/// Vertices with lists among their properties: every record has its own size.
class ListedVertexSource : public PointSource {
 public:
  ListedVertexSource(const MappedFile& file, const PlyHeader& header, FileFormat format)
      : PointSource({std::move(format), colour_kind_of(header)}), file_(file), header_(header) {}

  void visit(const std::function<void(const Batch&)>& visitor) const override {
    constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
    const FieldRoles& roles = header_.roles;
    const std::uint64_t count = header_.elements[header_.vertex].count;
    Batcher batcher(visitor);
    PageReleaser pages(file_);
    PlyRecords records(file_, header_, header_.vertex);
    PlyValues values;
    const auto value = [&](std::optional<std::size_t> role) { return values[role.value()].front(); };
    const auto colour = [&](std::optional<std::size_t> role) {
      return roles.has_separate_colour() ? static_cast<float>(value(role)) : kNan;
    };
    for (std::uint64_t i = 0; i < count; ++i) {
      if (!records.next(values)) {
        fail_cut_short(file_.path(), i, count);
      }
      batcher.add(value(roles.x), value(roles.y), value(roles.z), colour(roles.r), colour(roles.g),
                  colour(roles.b));
      pages.passed(records.position());
    }
    batcher.finish();
  }

 private:
  static ColourKind colour_kind_of(const PlyHeader& header) {
    const FieldRoles& roles = header.roles;
    return roles.has_separate_colour()
               ? roles.colour_kind(header.elements[header.vertex].properties[*roles.r].type)
               : ColourKind::none;
  }

  const MappedFile& file_;
  PlyHeader header_;
};

std::unique_ptr<PointSource> open_vertices(const MappedFile& file, const PlyHeader& header) {
  const PlyElement& vertex = header.elements[header.vertex];
  const PlyRecords records(file, header, header.vertex);
  const char* const data = records.position();
  const auto left = static_cast<std::size_t>(file.bytes().data() + file.bytes().size() - data);
  if (!records.is_sound()) {
    fail_cut_short(file.path(), 0, vertex.count);
  }
  if (header.encoding == PlyHeader::Encoding::ascii) {
    std::vector<TextField> fields;
    for (const PlyProperty& property : vertex.properties) {
      fields.push_back({property.type, property.is_list});
    }
    return std::make_unique<TextSource>(file, std::string_view(data, left),
                                        text_layout_of(header.roles, fields), vertex.count, vertex.count,
                                        FileFormat{FileFormat::Kind::ply, FileFormat::Coding::ascii});
  }
  const bool big_endian = header.encoding == PlyHeader::Encoding::big_endian;
  const FileFormat format{FileFormat::Kind::ply,
                          big_endian ? FileFormat::Coding::big_endian : FileFormat::Coding::little_endian};
  if (vertex.has_list()) {
    return std::make_unique<ListedVertexSource>(file, header, format);
  }
  const std::size_t stride = vertex.fixed_size();
  if (vertex.count > left / stride) {
    fail_cut_short(file.path(), left / stride, vertex.count);
  }
  std::vector<Column> columns;
  std::size_t offset = 0;
  for (const PlyProperty& property : vertex.properties) {
    columns.push_back({offset, stride, property.type});
    offset += size_of(property.type);
  }
  return std::make_unique<RecordSource>(file, data, vertex.count,
                                        layout_of(header.roles, columns, big_endian), format);
}

}  // namespace

bool looks_like_ply(const MappedFile& file) {
  constexpr std::string_view kMagic = "ply";
  const std::string_view bytes = file.bytes();
  const std::string_view rest = bytes.substr(std::min(kMagic.size(), bytes.size()));
  return bytes.starts_with(kMagic) &&
         (rest.empty() || rest.front() == '\n' || rest.front() == '\r' || rest.front() == ' ');
}

std::unique_ptr<PointSource> open_ply(const MappedFile& file, std::size_t most_points) {
  const PlyHeader header = parse_ply_header(file);
  auto vertices = open_vertices(file, header);
  return has_faces(header) ? open_ply_mesh(file, header, *vertices, most_points) : std::move(vertices);
}

}  // namespace flitchwise::scan
