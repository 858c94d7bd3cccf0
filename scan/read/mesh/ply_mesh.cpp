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
#include "scan/read/ply_walker.hpp"
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

/// Numbers of one face, property by property.
using FaceValues = std::vector<std::vector<double>>;

/// Hands out the faces of a binary file.
class BinaryFaces {
 public:
  BinaryFaces(const MappedFile& file, const PlyHeader& header, std::size_t face)
      : element_(header.elements[face]),
        big_endian_(header.encoding == PlyHeader::Encoding::big_endian),
        walker_(header.data, file.bytes().data() + file.bytes().size(), big_endian_) {
    sound_ = std::all_of(header.elements.begin(), header.elements.begin() + static_cast<std::ptrdiff_t>(face),
                         [this](const PlyElement& element) { return walker_.step(element); });
  }

  /// False if the file ends before the face does.
  bool next(FaceValues& values) {
    values.resize(element_.properties.size());
    for (std::size_t p = 0; sound_ && p < values.size(); ++p) {
      const PlyProperty& property = element_.properties[p];
      const char* from = walker_.at();
      sound_ = walker_.step(property);
      if (sound_) {
        take(property, from, values[p]);
      }
    }
    return sound_;
  }
  const char* position() const { return walker_.at(); }

 private:
  void take(const PlyProperty& property, const char* from, std::vector<double>& values) const {
    std::size_t count = 1;
    if (property.is_list) {
      count = static_cast<std::size_t>(load(from, property.count_type, big_endian_));
      from += size_of(property.count_type);
    }
    values.resize(count);
    for (std::size_t i = 0; i < count; ++i) {
      values[i] = load(from + i * size_of(property.type), property.type, big_endian_);
    }
  }

  const PlyElement& element_;
  bool big_endian_;
  BinaryWalker walker_;
  bool sound_ = true;
};

/// The same of an ASCII file, where every face is a line.
class AsciiFaces {
 public:
  AsciiFaces(const MappedFile& file, const PlyHeader& header, std::size_t face)
      : element_(header.elements[face]),
        lines_(file.bytes().substr(static_cast<std::size_t>(header.data - file.bytes().data()))) {
    std::string_view line;
    for (std::size_t element = 0; element < face; ++element) {
      for (std::uint64_t i = 0; i < header.elements[element].count && lines_.next(line); ++i) {
      }
    }
  }

  bool next(FaceValues& values) {
    std::string_view line;
    if (!lines_.next(line)) {
      return false;
    }
    values.resize(element_.properties.size());
    for (std::size_t p = 0; p < values.size(); ++p) {
      double count = 1;
      if (element_.properties[p].is_list && !(take_number(line, ' ', count) && count >= 0)) {
        return false;
      }
      values[p].clear();
      for (double number = 0; static_cast<double>(values[p].size()) < count; values[p].push_back(number)) {
        if (!take_number(line, ' ', number)) {
          return false;
        }
      }
    }
    return true;
  }
  const char* position() const { return lines_.position(); }

 private:
  const PlyElement& element_;
  LineCursor lines_;
};

class MeshReader {
 public:
  MeshReader(const MappedFile& file, const PlyHeader& header, std::size_t face)
      : file_(file), header_(header), face_(header.elements[face]), pictures_(file.path()) {
    roles_.corners = find_corners(face_).value_or(0);
    if (!header.pictures.empty()) {
      roles_.texture = find_property(face_, "texcoord", true);
      roles_.picture = find_property(face_, "texnumber", false);
    }
    check_mesh_size(file.path(), std::max(header.elements[header.vertex].count, face_.count));
  }

  void read_vertices(const PointSource& vertices);
  void load_pictures();
  template <typename Faces>
  void read_faces(Faces faces);

  Mesh& mesh() { return mesh_; }
  const std::vector<std::string>& warnings() const { return pictures_.warnings(); }

 private:
  void take_face(const FaceValues& values);
  Corners texture_corners(const FaceValues& values, std::size_t third, std::size_t first_point) const;
  std::uint32_t vertex(double named) const;

  const MappedFile& file_;
  const PlyHeader& header_;
  const PlyElement& face_;
  FaceRoles roles_;
  Mesh mesh_;
  Pictures pictures_;
};

void MeshReader::read_vertices(const PointSource& vertices) {
  constexpr std::size_t kShortestRecord = 3;  // three coordinates of a byte each
  const std::size_t room =
      std::min<std::size_t>(header_.elements[header_.vertex].count, file_.bytes().size() / kShortestRecord);
  float factor = 0;
  if (vertices.colour_kind() != ColourKind::none) {
    const Survey found = survey(vertices);
    factor = colour_factor(vertices.colour_kind(), found.colour_min, found.colour_max, found.colours_whole);
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

template <typename Faces>
void MeshReader::read_faces(Faces faces) {
  constexpr std::size_t kShortestFace = 4;  // a count and three indices of a byte each
  mesh_.triangles.reserve(std::min<std::size_t>(face_.count, file_.bytes().size() / kShortestFace));
  PageReleaser pages(file_);
  FaceValues values;
  for (std::uint64_t i = 0; i < face_.count; ++i) {
    if (!faces.next(values)) {
      fail(file_.path(),
           "holds " + grouped(i) + " of the " + grouped(face_.count) +
               " faces its header promises: the copy was cut short or is damaged; copy it again");
    }
    take_face(values);
    pages.passed(faces.position());
  }
}

void MeshReader::take_face(const FaceValues& values) {
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

Corners MeshReader::texture_corners(const FaceValues& values, std::size_t third,
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
  const std::size_t face = find_face(header).value_or(0);
  MeshReader reader(file, header, face);
  reader.read_vertices(vertices);
  reader.load_pictures();
  if (header.encoding == PlyHeader::Encoding::ascii) {
    reader.read_faces(AsciiFaces(file, header, face));
  } else {
    reader.read_faces(BinaryFaces(file, header, face));
  }
  MeshFacts facts;
  facts.format = vertices.format();
  facts.warnings = reader.warnings();
  return sampled(file.path(), std::move(reader.mesh()), most_points, std::move(facts));
}

}  // namespace flitchwise::scan
