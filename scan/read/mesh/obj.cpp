#include "scan/read/mesh/obj.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <string>
#include <string_view>
#include <utility>

#include "scan/read/colour.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/mesh.hpp"
#include "scan/read/mesh/mesh_source.hpp"
#include "scan/read/mesh/obj_lines.hpp"
#include "scan/read/mesh/obj_material.hpp"
#include "scan/read/text.hpp"

namespace flitchwise::scan {
namespace {

/// What a first pass finds.
struct Contents {
  ObjCounts counts;
  std::uint64_t faces = 0;
  bool has_colour = false;  ///< the first vertex has
};

Contents count_contents(const MappedFile& file) {
  Contents contents;
  ObjLines lines(file);
  PageReleaser pages(file);
  std::string_view word;
  std::string_view rest;
  while (lines.next(word, rest)) {
    if (word == "v") {
      ObjVertex vertex;
      if (contents.counts.vertices++ == 0) {
        contents.has_colour = parse_vertex(rest, vertex) && vertex.has_colour;
      }
    } else if (word == "vt") {
      ++contents.counts.textures;
    } else if (word == "f" || word == "fo") {
      ++contents.faces;
    }
    pages.passed(lines.position());
  }
  return contents;
}

ObjVertex vertex_of(const ObjLines& lines, std::string_view rest) {
  ObjVertex vertex;
  if (!parse_vertex(rest, vertex)) {
    lines.fail_here("a vertex needs three numbers");
  }
  return vertex;
}

/// The vertices as points.
class ObjPointSource : public PointSource {
 public:
  ObjPointSource(const MappedFile& file, bool has_colour) : file_(file), has_colour_(has_colour) {}
  FileFormat format() const override { return {FileFormat::Kind::obj}; }
  ColourKind colour_kind() const override { return has_colour_ ? ColourKind::numbers : ColourKind::none; }

  void visit(const std::function<void(const Batch&)>& visitor) const override {
    ObjLines lines(file_);
    PageReleaser pages(file_);
    Batch batch;
    std::string_view word;
    std::string_view rest;
    while (lines.next(word, rest)) {
      if (word != "v") {
        continue;
      }
      const ObjVertex vertex = vertex_of(lines, rest);
      const std::size_t i = batch.size++;
      batch.x.at(i) = vertex.position[0];
      batch.y.at(i) = vertex.position[1];
      batch.z.at(i) = vertex.position[2];
      batch.r.at(i) = vertex.colour[0];
      batch.g.at(i) = vertex.colour[1];
      batch.b.at(i) = vertex.colour[2];
      if (batch.size == Batch::kCapacity) {
        visitor(batch);
        batch.size = 0;
        pages.passed(lines.position());
      }
    }
    visitor(batch);
  }

 private:
  const MappedFile& file_;
  bool has_colour_;
};

/// Second pass: fills the mesh. Room is made beforehand, so that nothing is ever held twice.
class MeshReader {
 public:
  MeshReader(const MappedFile& file, const Contents& contents)
      : file_(file), contents_(contents), lines_(file), placer_(mesh_) {
    check_mesh_size(file.path(),
                    std::max({contents.counts.vertices, contents.counts.textures, contents.faces}));
    mesh_.vertices.reserve(contents.counts.vertices);
    colours_.reserve(contents.has_colour ? contents.counts.vertices : 0);
    mesh_.texture_points.reserve(contents.counts.textures);
    mesh_.triangles.reserve(contents.faces);
    mesh_.texture_corners.reserve(contents.counts.textures > 0 ? contents.faces : 0);
  }

  Mesh read() {
    PageReleaser pages(file_);
    std::string_view word;
    std::string_view rest;
    while (lines_.next(word, rest)) {
      take(word, rest);
      pages.passed(lines_.position());
    }
    finish();
    return std::move(mesh_);
  }
  std::vector<ScanFact> warnings() const { return library_.warnings; }

 private:
  void take(std::string_view word, std::string_view rest) {
    if (word == "v") {
      take_vertex(rest);
    } else if (word == "vt") {
      take_texture_point(rest);
    } else if (word == "f" || word == "fo") {
      take_face(rest);
    } else if (word == "mtllib") {
      add_materials(file_.path(), rest, library_);
    } else if (word == "usemtl") {
      use_material(rest);
    }
  }

  void take_vertex(std::string_view rest) {
    const ObjVertex vertex = vertex_of(lines_, rest);
    placer_.add_vertex(vertex.position[0], vertex.position[1], vertex.position[2]);
    if (contents_.has_colour) {
      colours_.push_back(vertex.colour);
    }
  }

  void take_texture_point(std::string_view rest) {
    std::array<double, 2> uv{};
    if (!take_number(rest, ' ', uv[0])) {
      lines_.fail_here("a texture point needs numbers");
    }
    take_number(rest, ' ', uv[1]);  // one is enough for a picture that is a strip
    mesh_.texture_points.emplace_back(static_cast<float>(uv[0]), static_cast<float>(uv[1]));
  }

  void take_face(std::string_view rest);
  void add_triangle(const ObjCorner& a, const ObjCorner& b, const ObjCorner& c);
  void use_material(std::string_view rest);
  void finish();

  const MappedFile& file_;
  const Contents& contents_;
  ObjLines lines_;
  Mesh mesh_;
  VertexPlacer placer_;
  std::vector<std::array<float, 3>> colours_;  // as in the file
  MaterialLibrary library_;
  std::map<std::string, std::size_t, std::less<>> used_;  // materials of the mesh by name
};

void MeshReader::take_face(std::string_view rest) {
  const ObjCounts so_far{mesh_.vertices.size(), mesh_.texture_points.size()};
  std::array<ObjCorner, 3> corners;
  std::size_t count = 0;
  while (true) {
    ObjCorner corner;
    const std::string_view before = rest;
    const CornerState state = take_corner(rest, so_far, contents_.counts, corner);
    if (state == CornerState::end) {
      break;
    }
    if (state != CornerState::ok) {
      std::string_view named = before;
      lines_.fail_here(state == CornerState::broken ? "no corner of a face: " + quoted(take_word(named))
                                                    : "a face names vertex " + quoted(take_word(named)) +
                                                          ", which the file does not have");
    }
    corners.at(std::min<std::size_t>(count, 2)) = corner;
    if (++count >= corners.size()) {
      add_triangle(corners[0], corners[1], corners[2]);
      corners[1] = corners[2];
    }
  }
  if (count < corners.size()) {
    lines_.fail_here("a face needs three corners");
  }
}

void MeshReader::add_triangle(const ObjCorner& a, const ObjCorner& b, const ObjCorner& c) {
  check_mesh_size(file_.path(), mesh_.triangles.size() + 1);
  mesh_.triangles.push_back({a.vertex, b.vertex, c.vertex});
  if (contents_.counts.textures > 0) {
    mesh_.texture_corners.push_back({a.texture, b.texture, c.texture});
  }
}

void MeshReader::use_material(std::string_view rest) {
  std::string name(rest);
  name.erase(0, name.find_first_not_of(" \t"));
  name.erase(name.find_last_not_of(" \t") + 1);
  const auto [at, is_new] = used_.try_emplace(name, mesh_.materials.size());
  if (is_new) {
    const auto known = library_.materials.find(name);
    mesh_.materials.push_back(known == library_.materials.end() ? MeshMaterial{kGrey, nullptr}
                                                                : known->second);
    if (contents_.counts.textures == 0) {
      mesh_.materials.back().picture = nullptr;
    }
  }
  mesh_.runs.push_back({mesh_.triangles.size(), at->second});
}

void MeshReader::finish() {
  float most = 0;
  for (const auto& colour : colours_) {
    most = std::max({most, colour[0], colour[1], colour[2]});
  }
  const float factor = colour_factor(ColourKind::numbers, 0, most, false);
  for (const auto& colour : colours_) {
    mesh_.vertex_colours.push_back(
        {to_byte(colour[0], factor), to_byte(colour[1], factor), to_byte(colour[2], factor)});
  }
  const bool has_picture =
      std::any_of(mesh_.materials.begin(), mesh_.materials.end(),
                  [](const MeshMaterial& material) { return material.picture != nullptr; });
  if (has_picture) {
    mesh_.vertex_colours = {};  // the picture is finer
  } else if (!mesh_.vertex_colours.empty()) {
    mesh_.materials.clear();  // a plain material beside coloured vertices is a viewer's default
    mesh_.runs.clear();
  }
}

}  // namespace

bool looks_like_obj(const MappedFile& file) {
  constexpr std::array<std::string_view, 9> kWords = {"v",      "vn", "vt", "f", "mtllib",
                                                      "usemtl", "o",  "g",  "s"};
  ObjLines lines(file);
  std::string_view word;
  std::string_view rest;
  return lines.next(word, rest) && std::find(kWords.begin(), kWords.end(), word) != kWords.end();
}

std::unique_ptr<PointSource> open_obj(const MappedFile& file, std::size_t most_points) {
  const Contents contents = count_contents(file);
  if (contents.faces == 0) {
    return std::make_unique<ObjPointSource>(file, contents.has_colour);
  }
  MeshReader reader(file, contents);
  Mesh mesh = reader.read();
  MeshFacts facts;
  facts.format.kind = FileFormat::Kind::obj;
  facts.warnings = reader.warnings();
  return sampled(file.path(), std::move(mesh), most_points, std::move(facts));
}

}  // namespace flitchwise::scan
