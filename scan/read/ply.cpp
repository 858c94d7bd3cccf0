#include "scan/read/ply.hpp"

#include <algorithm>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/ply_mesh.hpp"
#include "scan/read/ply_header.hpp"
#include "scan/read/ply_walker.hpp"
#include "scan/read/records.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

/// Vertices with lists among their properties: every record has its own size.
class ListedVertexSource : public PointSource {
 public:
  ListedVertexSource(const MappedFile& file, const char* data, const PlyHeader& header, std::string format)
      : file_(file),
        data_(data),
        vertex_(header.elements[header.vertex]),
        big_endian_(header.encoding == PlyHeader::Encoding::big_endian),
        format_(std::move(format)) {
    const FieldRoles& roles = header.roles;
    positions_ = {roles.x.value(), roles.y.value(), roles.z.value()};
    if (roles.has_separate_colour()) {
      colours_ = {roles.r.value(), roles.g.value(), roles.b.value()};
      kind_ = roles.colour_kind(vertex_.properties[colours_[0]].type);
    }
  }
  std::string format() const override { return format_; }
  ColourKind colour_kind() const override { return kind_; }

  void visit(const std::function<void(const Batch&)>& visitor) const override {
    Batcher batcher(visitor);
    PageReleaser pages(file_);
    BinaryWalker walker(data_, file_.bytes().data() + file_.bytes().size(), big_endian_);
    std::vector<const char*> addresses(vertex_.properties.size());
    for (std::uint64_t i = 0; i < vertex_.count; ++i) {
      for (std::size_t p = 0; p < addresses.size(); ++p) {
        addresses[p] = walker.at();
        if (!walker.step(vertex_.properties[p])) {
          fail_cut_short(file_.path(), i, vertex_.count);
        }
      }
      take(addresses, batcher.open());
      if (batcher.next()) {
        pages.passed(walker.at());
      }
    }
    batcher.finish();
  }

 private:
  void take(const std::vector<const char*>& addresses, Batch& batch) const {
    const auto value = [&](std::size_t p) {
      return load(addresses[p], vertex_.properties[p].type, big_endian_);
    };
    batch.x[batch.size] = value(positions_[0]);
    batch.y[batch.size] = value(positions_[1]);
    batch.z[batch.size] = value(positions_[2]);
    if (kind_ != ColourKind::none) {
      batch.r[batch.size] = static_cast<float>(value(colours_[0]));
      batch.g[batch.size] = static_cast<float>(value(colours_[1]));
      batch.b[batch.size] = static_cast<float>(value(colours_[2]));
    }
  }

  const MappedFile& file_;
  const char* data_;
  PlyElement vertex_;
  bool big_endian_;
  std::string format_;
  std::array<std::size_t, 3> positions_ = {};
  std::array<std::size_t, 3> colours_ = {};
  ColourKind kind_ = ColourKind::none;
};

std::unique_ptr<PointSource> open_binary(const MappedFile& file, const PlyHeader& header) {
  const bool big_endian = header.encoding == PlyHeader::Encoding::big_endian;
  const std::string format = big_endian ? "PLY, binary big endian" : "PLY, binary little endian";
  const PlyElement& vertex = header.elements[header.vertex];
  BinaryWalker walker(header.data, file.bytes().data() + file.bytes().size(), big_endian);
  for (std::size_t i = 0; i < header.vertex; ++i) {
    if (!walker.step(header.elements[i])) {
      fail_cut_short(file.path(), 0, vertex.count);
    }
  }
  if (vertex.has_list()) {
    return std::make_unique<ListedVertexSource>(file, walker.at(), header, format);
  }
  const std::size_t stride = vertex.fixed_size();
  if (vertex.count > walker.left() / stride) {
    fail_cut_short(file.path(), walker.left() / stride, vertex.count);
  }
  std::vector<Column> columns;
  std::size_t offset = 0;
  for (const PlyProperty& property : vertex.properties) {
    columns.push_back({offset, stride, property.type});
    offset += size_of(property.type);
  }
  return std::make_unique<RecordSource>(file, walker.at(), vertex.count,
                                        layout_of(header.roles, columns, big_endian), format);
}

std::unique_ptr<PointSource> open_ascii(const MappedFile& file, const PlyHeader& header) {
  const PlyElement& vertex = header.elements[header.vertex];
  std::string_view data = file.bytes().substr(static_cast<std::size_t>(header.data - file.bytes().data()));
  LineCursor lines(data);
  std::string_view line;
  for (std::size_t element = 0; element < header.vertex; ++element) {
    for (std::uint64_t i = 0; i < header.elements[element].count; ++i) {
      if (!lines.next(line)) {
        fail_cut_short(file.path(), 0, vertex.count);
      }
    }
  }
  data.remove_prefix(static_cast<std::size_t>(lines.position() - data.data()));
  std::vector<TextField> fields;
  for (const PlyProperty& property : vertex.properties) {
    fields.push_back({property.type, property.is_list});
  }
  return std::make_unique<TextSource>(file, data, text_layout_of(header.roles, fields), vertex.count,
                                      "PLY, ASCII");
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
  auto vertices =
      header.encoding == PlyHeader::Encoding::ascii ? open_ascii(file, header) : open_binary(file, header);
  return has_faces(header) ? open_ply_mesh(file, header, *vertices, most_points) : std::move(vertices);
}

}  // namespace flitchwise::scan
