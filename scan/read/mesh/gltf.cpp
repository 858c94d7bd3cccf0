#include "scan/read/mesh/gltf.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <limits>
#include <map>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/gltf_accessor.hpp"
#include "scan/read/mesh/gltf_file.hpp"
#include "scan/read/mesh/gltf_material.hpp"
#include "scan/read/mesh/mesh_source.hpp"

namespace flitchwise::scan {
namespace {

using nlohmann::json;

enum class Mode { points = 0, triangles = 4, strip = 5, fan = 6 };

constexpr std::size_t kNoMaterial = std::numeric_limits<std::size_t>::max();
constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

/// Numbers of a JSON array, which must be so many.
std::vector<double> numbers_of(const GltfFile& file, const json& array, std::size_t count) {
  auto numbers = array.get<std::vector<double>>();
  if (numbers.size() != count) {
    file.fail_damaged("a node's transform has a wrong count of numbers");
  }
  return numbers;
}

Eigen::Affine3d transform_of(const GltfFile& file, const json& node) {
  constexpr std::size_t kMatrix = 16;
  Eigen::Affine3d transform = Eigen::Affine3d::Identity();
  if (node.contains("matrix")) {
    transform.matrix() =
        Eigen::Map<const Eigen::Matrix4d>(numbers_of(file, node.at("matrix"), kMatrix).data());
    return transform;
  }
  if (node.contains("translation")) {
    const auto t = numbers_of(file, node.at("translation"), 3);
    transform.translate(Eigen::Vector3d(t[0], t[1], t[2]));
  }
  if (node.contains("rotation")) {
    const auto q = numbers_of(file, node.at("rotation"), 4);
    transform.rotate(Eigen::Quaterniond(q[3], q[0], q[1], q[2]).normalized());
  }
  if (node.contains("scale")) {
    const auto s = numbers_of(file, node.at("scale"), 3);
    transform.scale(Eigen::Vector3d(s[0], s[1], s[2]));
  }
  return transform;
}

class SceneReader {
 public:
  explicit SceneReader(const GltfFile& file) : file_(file), materials_(file), placer_(mesh_) {}

  Mesh read() {
    for (const std::size_t root : roots()) {
      walk(root);
    }
    if (mesh_.triangles.empty() && mesh_.lone_points.empty()) {
      fail(file_.path(), "is a glTF model without triangles or points: export the scan again");
    }
    if (!mesh_.vertex_colours.empty()) {
      mesh_.vertex_colours.resize(mesh_.vertices.size(), MeshMaterial().colour);
    }
    if (!mesh_.lone_colours.empty()) {
      mesh_.lone_colours.resize(mesh_.lone_points.size(), kGrey);
    }
    return std::move(mesh_);
  }
  const std::vector<ScanFact>& warnings() const { return materials_.warnings(); }

 private:
  struct Place {
    std::size_t node;
    Eigen::Affine3d file_from_parent;
  };

  std::vector<std::size_t> roots() const;
  std::vector<std::size_t> children(const json& object, const char* name) const;
  void walk(std::size_t root);
  void add_mesh(std::size_t mesh, const Eigen::Affine3d& transform);
  void add_primitive(const json& primitive, const Eigen::Affine3d& transform);
  void add_positions(const GltfAccessor& positions, const Eigen::Affine3d& transform,
                     std::vector<Eigen::Vector3f>& points);
  void add_triangles(const GltfPrimitive& primitive, Mode mode, std::size_t vertices);
  const std::pair<std::size_t, GltfTextureUse>& use_material(std::size_t index);

  const GltfFile& file_;
  GltfMaterials materials_;
  Mesh mesh_;
  VertexPlacer placer_;
  std::vector<char> seen_;  // nodes
  // The file's materials that are in use: place in mesh_.materials and its texture coordinates.
  std::map<std::size_t, std::pair<std::size_t, GltfTextureUse>> used_;
};

std::vector<std::size_t> SceneReader::children(const json& object, const char* name) const {
  std::vector<std::size_t> indices;
  for (const json& index : object.value(name, json::array())) {
    if (!index.is_number_unsigned()) {
      file_.fail_damaged("a node's number is no whole number");
    }
    indices.push_back(index.get<std::size_t>());
  }
  return indices;
}

std::vector<std::size_t> SceneReader::roots() const {
  const json& document = file_.document();
  if (document.contains("scenes") && !document.at("scenes").empty()) {
    return children(file_.element("scenes", file_.number(document, "scene", 0)), "nodes");
  }
  // No scene: every node that is nobody's child.
  const std::size_t count = document.value("nodes", json::array()).size();
  std::vector<char> is_child(count, 0);
  for (std::size_t node = 0; node < count; ++node) {
    for (const std::size_t child : children(file_.element("nodes", node), "children")) {
      if (child < count) {
        is_child[child] = 1;
      }
    }
  }
  std::vector<std::size_t> roots;
  for (std::size_t node = 0; node < count; ++node) {
    if (is_child[node] == 0) {
      roots.push_back(node);
    }
  }
  return roots;
}

void SceneReader::walk(std::size_t root) {
  std::vector<Place> open{{root, Eigen::Affine3d::Identity()}};
  while (!open.empty()) {
    const Place place = open.back();
    open.pop_back();
    const json& node = file_.element("nodes", place.node);
    seen_.resize(file_.document().at("nodes").size(), 0);
    if (std::exchange(seen_[place.node], 1) != 0) {
      file_.fail_damaged("a node hangs below two others or below itself");
    }
    const Eigen::Affine3d transform = place.file_from_parent * transform_of(file_, node);
    if (node.contains("mesh")) {
      add_mesh(file_.number(node, "mesh"), transform);
    }
    const std::vector<std::size_t> below = children(node, "children");
    for (auto child = below.rbegin(); child != below.rend(); ++child) {
      open.push_back({*child, transform});
    }
  }
}

void SceneReader::add_mesh(std::size_t mesh, const Eigen::Affine3d& transform) {
  for (const json& primitive : file_.element("meshes", mesh).at("primitives")) {
    add_primitive(primitive, transform);
  }
}

/// Appends the first `count` colours of an accessor so that there are `total`; those before that have none
/// become `otherwise`.
void add_colours(const GltfAccessor& lights, std::size_t count, std::size_t total, const Colour& otherwise,
                 std::vector<Colour>& colours) {
  colours.resize(total - count, otherwise);
  lights.visit(count, [&](std::size_t i) {
    colours.push_back(
        {screen_value(lights.at(i, 0)), screen_value(lights.at(i, 1)), screen_value(lights.at(i, 2))});
  });
}

void SceneReader::add_primitive(const json& primitive, const Eigen::Affine3d& transform) {
  const auto mode =
      static_cast<Mode>(file_.number(primitive, "mode", static_cast<std::size_t>(Mode::triangles)));
  const bool wanted =
      mode == Mode::points || mode == Mode::triangles || mode == Mode::strip || mode == Mode::fan;
  if (!wanted || !primitive.at("attributes").contains("POSITION")) {
    return;
  }
  const GltfPrimitive numbers(file_, primitive);
  const GltfAccessor positions = numbers.attribute("POSITION", 3, 0).value();
  const std::size_t count = positions.count();
  const auto lights = numbers.attribute("COLOR_0", 3, count);
  if (mode == Mode::points) {
    add_positions(positions, transform, mesh_.lone_points);
    if (lights) {
      add_colours(*lights, count, mesh_.lone_points.size(), kGrey, mesh_.lone_colours);
    }
    return;
  }
  add_positions(positions, transform, mesh_.vertices);
  if (lights) {
    add_colours(*lights, count, mesh_.vertices.size(), MeshMaterial().colour, mesh_.vertex_colours);
  }
  const auto& [material, texture] = use_material(file_.number(primitive, "material", kNoMaterial));
  if (const auto uv = numbers.attribute("TEXCOORD_" + std::to_string(texture.set), 2, count);
      uv && mesh_.materials[material].picture) {  // what has no texture points shows grey
    mesh_.texture_points.resize(mesh_.vertices.size() - count, Eigen::Vector2f(kNan, kNan));
    uv->visit(count, [&, &use = texture](std::size_t i) {
      mesh_.texture_points.push_back(use.place(uv->at(i, 0), uv->at(i, 1)));
    });
  }
  mesh_.runs.push_back({mesh_.triangles.size(), material});
  add_triangles(numbers, mode, count);
}

void SceneReader::add_positions(const GltfAccessor& positions, const Eigen::Affine3d& transform,
                                std::vector<Eigen::Vector3f>& points) {
  file_.check_size(mesh_.vertices.size() + mesh_.lone_points.size() + positions.count());
  if (points.empty()) {  // with many primitives growing is faster
    points.reserve(positions.count());
  }
  positions.visit(positions.count(), [&](std::size_t i) {
    const Eigen::Vector3d at =
        transform * Eigen::Vector3d(positions.at(i, 0), positions.at(i, 1), positions.at(i, 2));
    points.push_back(placer_.place(at.x(), at.y(), at.z()));
  });
}

void SceneReader::add_triangles(const GltfPrimitive& primitive, Mode mode, std::size_t vertices) {
  const bool single = mode == Mode::triangles || primitive.is_unpacked();
  const std::size_t room = single ? primitive.corners(vertices) / 3 : primitive.corners(vertices);
  file_.check_size(mesh_.triangles.size() + room);
  if (mesh_.triangles.empty()) {
    mesh_.triangles.reserve(room);
  }
  const auto first = static_cast<std::uint32_t>(mesh_.vertices.size() - vertices);
  Corners corners{};
  std::size_t seen = 0;
  primitive.visit_corners(vertices, [&](std::uint32_t corner) {
    corners.at(std::min<std::size_t>(seen, 2)) = first + corner;
    if (++seen < corners.size()) {
      return;
    }
    mesh_.triangles.push_back(corners);
    seen = single ? 0 : seen;
    corners[0] = mode == Mode::strip ? corners[1] : corners[0];
    corners[1] = corners[2];
  });
}

const std::pair<std::size_t, GltfTextureUse>& SceneReader::use_material(std::size_t index) {
  const auto [at, is_new] = used_.try_emplace(index, mesh_.materials.size(), GltfTextureUse());
  if (is_new) {
    const GltfMaterial material = index == kNoMaterial ? GltfMaterial() : materials_.read(index);
    at->second.second = material.texture;
    mesh_.materials.push_back(material.look);
  }
  return at->second;
}

}  // namespace

bool looks_like_gltf(const MappedFile& file) {
  const std::string_view bytes = without_byte_order_mark(file.bytes());
  const std::size_t first = bytes.find_first_not_of(" \t\r\n");
  return bytes.starts_with("glTF") || (first != std::string_view::npos && bytes[first] == '{');
}

std::unique_ptr<PointSource> open_gltf(const MappedFile& file, std::size_t most_points) {
  SourceFacts facts;
  facts.format.kind = facts.frame.format = FileFormat::Kind::gltf;
  facts.frame.up = Eigen::Vector3d::UnitY();
  facts.frame.metres_per_unit = 1;
  try {
    const GltfFile model(file);
    SceneReader reader(model);
    Mesh mesh = reader.read();
    facts.format.coding = model.is_binary() ? FileFormat::Coding::binary : FileFormat::Coding::plain;
    facts.warnings = reader.warnings();
    return sampled(file.path(), std::move(mesh), most_points, std::move(facts));
  } catch (const json::parse_error& error) {
    fail(file.path(), "is JSON that breaks at byte " + std::to_string(error.byte) +
                          ", perhaps a glTF model that was cut short: copy it again");
  } catch (const json::exception&) {
    fail(file.path(),
         "is a damaged glTF model: part of it is missing or not what it should be; copy or "
         "export it again");
  }
}

}  // namespace flitchwise::scan
