#include "scan/read/mesh/ply_mesh.hpp"

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>

#include "scan/read/colour.hpp"
#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/mesh.hpp"
#include "scan/read/mesh/mesh_source.hpp"
#include "scan/read/ply_records.hpp"
#include "scan/read/survey.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

/// Which properties of a face are of use.
struct FaceRoles {
  std::size_t corners = 0;             ///< list of vertices
  std::optional<std::size_t> texture;  ///< list of u, v, u, v, ...
  std::optional<std::size_t> picture;  ///< which picture, from 0
};

std::optional<std::size_t> find_property(const PlyElement& element, std::string_view name, bool is_list) {
  const auto at = std::find_if(
      element.properties.begin(), element.properties.end(),
      [&](const auto& property) { return property.name == name && property.is_list == is_list; });
  return at == element.properties.end() ? std::nullopt
                                        : std::optional<std::size_t>(at - element.properties.begin());
}

std::optional<std::size_t> find_corners(const PlyElement& element) {
  const auto indices = find_property(element, "vertex_indices", true);
  return indices ? indices : find_property(element, "vertex_index", true);
}

std::optional<std::size_t> find_face(const PlyHeader& header) {
  for (std::size_t i = 0; i < header.elements.size(); ++i) {
    const PlyElement& element = header.elements[i];
    if (element.name == "face" && element.count > 0 && find_corners(element)) {
      return i;
    }
  }
  return std::nullopt;
}

class MeshReader {
 public:
  MeshReader(const MappedFile& file, const PlyHeader& header, std::size_t face)
      : file_(file),
        header_(header),
        face_(header.elements[face]),
        records_(file, header, face),
        pictures_(file.path()) {
    roles_.corners = find_corners(face_).value_or(0);
    if (!header.pictures.empty()) {
      roles_.texture = find_property(face_, "texcoord", true);
      roles_.picture = find_property(face_, "texnumber", false);
    }
    check_mesh_size(file.path(), std::max(header.elements[header.vertex].count, face_.count));
  }

  void read_vertices(const PointSource& vertices);
  void load_pictures();
  void read_faces();

  Mesh& mesh() { return mesh_; }
  const std::vector<ScanFact>& warnings() const { return pictures_.warnings(); }

 private:
  void take_face(const PlyValues& values);
  Corners texture_corners(const PlyValues& values, std::size_t third, std::size_t first_point) const;
  std::uint32_t vertex(double named) const;

  const MappedFile& file_;
  const PlyHeader& header_;
  const PlyElement& face_;
  PlyRecords records_;
  FaceRoles roles_;
  Mesh mesh_;
  Pictures pictures_;
};

void MeshReader::read_vertices(const PointSource& vertices) {
  constexpr std::size_t kShortestRecord = 3;  // three coordinates of a byte each
  const std::size_t room =
      std::min<std::size_t>(header_.elements[header_.vertex].count, file_.bytes().size() / kShortestRecord);
  const ColourKind kind = vertices.facts().colour_kind;
  float factor = 0;
  if (kind != ColourKind::none) {
    const Survey found = survey(vertices);
    factor = colour_factor(kind, found.colour_min, found.colour_max, found.colours_whole);
  }
  mesh_.vertices.reserve(room);
  mesh_.vertex_colours.reserve(factor > 0 ? room : 0);
  VertexPlacer placer(mesh_);
  vertices.visit([&](const Batch& batch) {
    for (std::size_t i = 0; i < batch.size; ++i) {
      placer.add_vertex(batch.x.at(i), batch.y.at(i), batch.z.at(i));
      if (factor > 0) {
        mesh_.vertex_colours.push_back(
            {to_byte(batch.r.at(i), factor), to_byte(batch.g.at(i), factor), to_byte(batch.b.at(i), factor)});
      }
    }
  });
}

void MeshReader::load_pictures() {
  if (!roles_.texture) {
    return;
  }
  for (const std::string& name : header_.pictures) {
    MeshMaterial material;
    material.picture = pictures_.beside(name);
    material.colour = material.picture ? material.colour : kGrey;
    mesh_.materials.push_back(std::move(material));
  }
  mesh_.runs.push_back({0, 0});
  mesh_.vertex_colours = {};  // the picture is finer
}

void MeshReader::read_faces() {
  constexpr std::size_t kShortestFace = 4;  // a count and three indices of a byte each
  mesh_.triangles.reserve(std::min<std::size_t>(face_.count, file_.bytes().size() / kShortestFace));
  PageReleaser pages(file_);
  PlyValues values;
  for (std::uint64_t i = 0; i < face_.count; ++i) {
    if (!records_.next(values)) {
      fail(file_.path(),
           "holds " + grouped(i) + " of the " + grouped(face_.count) +
               " faces its header promises: the copy was cut short or is damaged; copy it again");
    }
    take_face(values);
    pages.passed(records_.position());
  }
}

void MeshReader::take_face(const PlyValues& values) {
  const std::vector<double>& corners = values[roles_.corners];
  const std::size_t first_point = mesh_.texture_points.size();
  if (roles_.texture) {
    const std::vector<double>& uv = values[*roles_.texture];
    for (std::size_t i = 0; i + 1 < uv.size(); i += 2) {
      mesh_.texture_points.emplace_back(static_cast<float>(uv[i]), static_cast<float>(uv[i + 1]));
    }
  }
  if (roles_.picture && values[*roles_.picture].front() >= 0 &&
      values[*roles_.picture].front() < static_cast<double>(mesh_.materials.size())) {
    const auto material = static_cast<std::size_t>(values[*roles_.picture].front());
    if (mesh_.runs.back().material != material) {
      mesh_.runs.push_back({mesh_.triangles.size(), material});
    }
  }
  for (std::size_t third = 2; third < corners.size(); ++third) {
    mesh_.triangles.push_back({vertex(corners[0]), vertex(corners[third - 1]), vertex(corners[third])});
    if (roles_.texture) {
      mesh_.texture_corners.push_back(texture_corners(values, third, first_point));
    }
  }
}

Corners MeshReader::texture_corners(const PlyValues& values, std::size_t third,
                                    std::size_t first_point) const {
  const bool complete = values[*roles_.texture].size() >= 2 * values[roles_.corners].size();
  const auto point = [&](std::size_t corner) {
    return complete ? static_cast<std::uint32_t>(first_point + corner) : Mesh::kNoTexture;
  };
  return {point(0), point(third - 1), point(third)};
}

std::uint32_t MeshReader::vertex(double named) const {
  const std::size_t vertices = mesh_.vertices.size();
  if (!(named >= 0 && named < static_cast<double>(vertices))) {
    fail_missing_vertex(file_.path(), std::to_string(static_cast<long long>(named)), vertices);
  }
  return static_cast<std::uint32_t>(named);
}

}  // namespace

bool has_faces(const PlyHeader& header) {
  return find_face(header).has_value();
}

std::unique_ptr<PointSource> open_ply_mesh(const MappedFile& file, const PlyHeader& header,
                                           const PointSource& vertices, std::size_t most_points) {
  MeshReader reader(file, header, find_face(header).value_or(0));
  reader.read_vertices(vertices);
  reader.load_pictures();
  reader.read_faces();
  return sampled(file.path(), std::move(reader.mesh()), most_points,
                 {vertices.facts().format, ColourKind::none, reader.warnings()});
}

}  // namespace flitchwise::scan
