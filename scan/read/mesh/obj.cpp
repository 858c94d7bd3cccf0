#include "scan/read/mesh/obj.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
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

constexpr Corners kNoTextures = {Mesh::kNoTexture, Mesh::kNoTexture, Mesh::kNoTexture};

/// Fills a mesh statement by statement.
class ObjReader {
 public:
  explicit ObjReader(const MappedFile& file)
      : file_(file), lines_(file), placer_(mesh_), materials_(file.path()) {}

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
  std::vector<ScanFact> warnings() const { return materials_.warnings(); }

 private:
  void take(std::string_view word, std::string_view rest) {
    if (word == "v") {
      take_vertex(rest);
    } else if (word == "vt") {
      take_texture_point(rest);
    } else if (word == "f" || word == "fo") {
      take_face(rest);
    } else if (word == "mtllib") {
      materials_.add_library(trimmed(rest));
    } else if (word == "usemtl") {
      use_material(std::string(trimmed(rest)));
    }
  }

  void take_vertex(std::string_view rest);
  void take_texture_point(std::string_view rest);
  void take_face(std::string_view rest);
  ObjCorner corner_of(std::string_view word);
  void use_material(const std::string& name);
  void finish();
  void finish_colours();

  const MappedFile& file_;
  ObjLines lines_;
  Mesh mesh_;
  VertexPlacer placer_;
  ObjMaterials materials_;
  std::vector<std::array<float, 3>> colours_;  // as in the file; empty if the first vertex has none
  std::map<std::string, std::size_t, std::less<>> used_;  // materials of the mesh by name
  /// Faces may stand before their vertices: the one that is named farthest ahead, and where.
  struct Ahead {
    std::uint32_t vertex;
    std::string name;
    const char* place;
  };
  std::optional<Ahead> ahead_;
};

void ObjReader::take_vertex(std::string_view rest) {
  constexpr std::size_t kPosition = 3;
  constexpr std::size_t kColoured = 6;
  std::array<double, kColoured> numbers{};
  std::size_t count = 0;
  while (count < kColoured && take_number(rest, ' ', numbers.at(count))) {
    ++count;
  }
  if (count < kPosition) {
    lines_.fail_at(lines_.place(), "a vertex needs three numbers");
  }
  if (mesh_.vertices.empty() ? count == kColoured : !colours_.empty()) {
    const auto colour = [&](std::size_t i) {
      return count == kColoured ? static_cast<float>(numbers.at(i)) : 0;
    };
    colours_.push_back({colour(3), colour(4), colour(5)});
  }
  placer_.add_vertex(numbers[0], numbers[1], numbers[2]);
  check_mesh_size(file_.path(), mesh_.vertices.size());
}

void ObjReader::take_texture_point(std::string_view rest) {
  std::array<double, 2> uv{};
  if (!take_number(rest, ' ', uv[0])) {
    lines_.fail_at(lines_.place(), "a texture point needs numbers");
  }
  take_number(rest, ' ', uv[1]);  // one is enough for a picture that is a strip
  mesh_.texture_points.emplace_back(static_cast<float>(uv[0]), static_cast<float>(uv[1]));
}

ObjCorner ObjReader::corner_of(std::string_view word) {
  const std::optional<ObjCorner> corner =
      parse_corner(word, mesh_.vertices.size(), mesh_.texture_points.size());
  if (!corner) {
    lines_.fail_at(lines_.place(), "no corner of a face: " + quoted(word));
  }
  if (corner->vertex >= mesh_.vertices.size() && (!ahead_ || corner->vertex > ahead_->vertex)) {
    ahead_ = {corner->vertex, std::string(word), lines_.place()};
  }
  return *corner;
}

void ObjReader::take_face(std::string_view rest) {
  std::array<ObjCorner, 3> corners;
  std::size_t count = 0;
  for (std::string_view word = take_word(rest); !word.empty() && word.front() != '#';
       word = take_word(rest)) {
    corners.at(std::min<std::size_t>(count, 2)) = corner_of(word);
    if (++count < corners.size()) {
      continue;
    }
    const auto& [a, b, c] = corners;
    if (a.texture != Mesh::kNoTexture || !mesh_.texture_corners.empty()) {
      mesh_.texture_corners.resize(mesh_.triangles.size(), kNoTextures);
      mesh_.texture_corners.push_back({a.texture, b.texture, c.texture});
    }
    mesh_.triangles.push_back({a.vertex, b.vertex, c.vertex});
    corners[1] = corners[2];
  }
  if (count < corners.size()) {
    lines_.fail_at(lines_.place(), "a face needs three corners");
  }
  check_mesh_size(file_.path(), mesh_.triangles.size());
}

void ObjReader::use_material(const std::string& name) {
  const auto [at, is_new] = used_.try_emplace(name, mesh_.materials.size());
  if (is_new) {
    mesh_.materials.push_back(materials_.find(name));
  }
  mesh_.runs.push_back({mesh_.triangles.size(), at->second});
}

void ObjReader::finish() {
  if (ahead_ && ahead_->vertex >= mesh_.vertices.size()) {
    lines_.fail_at(ahead_->place,
                   "a face names vertex " + scan::quoted(ahead_->name) + ", which the file does not have");
  }
  finish_colours();
  if (mesh_.triangles.empty()) {
    mesh_.lone_points = std::move(mesh_.vertices);
    mesh_.lone_colours = std::move(mesh_.vertex_colours);
  }
}

void ObjReader::finish_colours() {
  bool has_picture = false;
  for (MeshMaterial& material : mesh_.materials) {
    material.picture = mesh_.texture_points.empty() ? nullptr : material.picture;
    has_picture = has_picture || material.picture;
  }
  if (!mesh_.texture_points.empty()) {
    mesh_.texture_corners.resize(mesh_.triangles.size(), kNoTextures);
  }
  if (has_picture || colours_.empty()) {
    return;  // a picture is finer than the vertices' colours
  }
  mesh_.materials.clear();  // a plain material beside coloured vertices is a viewer's default
  mesh_.runs.clear();
  float most = 0;
  for (const auto& colour : colours_) {
    most = std::max({most, colour[0], colour[1], colour[2]});
  }
  const float factor = colour_factor(ColourKind::numbers, 0, most, false);
  mesh_.vertex_colours.reserve(colours_.size());
  for (const auto& colour : colours_) {
    mesh_.vertex_colours.push_back(
        {to_byte(colour[0], factor), to_byte(colour[1], factor), to_byte(colour[2], factor)});
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
  ObjReader reader(file);
  Mesh mesh = reader.read();
  SourceFacts facts;
  facts.format.kind = FileFormat::Kind::obj;
  facts.warnings = reader.warnings();
  return sampled(file.path(), std::move(mesh), most_points, std::move(facts));
}

}  // namespace flitchwise::scan
