#include "scan/read/mesh/gltf.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <limits>
#include <map>
#include <utility>

#include "scan/read/cursor.hpp"
#include "scan/read/failure.hpp"
#include "scan/read/mesh/gltf_file.hpp"
#include "scan/read/mesh/gltf_material.hpp"
#include "scan/read/mesh/mesh_source.hpp"

namespace flitchwise::scan {
namespace {

using nlohmann::json;

enum class Mode { points = 0, triangles = 4, strip = 5, fan = 6 };

constexpr std::size_t kNoMaterial = std::numeric_limits<std::size_t>::max();

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
    finish();
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
  void add_points(const GltfAccessor& positions, const json& attributes, const Eigen::Affine3d& transform);
  void add_vertex_colours(const json& attributes, std::size_t count);
  void add_texture_points(const json& attributes, const GltfTextureUse& use, std::size_t count);
  void add_triangles(const std::vector<std::uint32_t>& corners, Mode mode);
  std::vector<std::uint32_t> corners_of(const json& primitive, std::size_t first, std::size_t count) const;
  const std::pair<std::size_t, GltfTextureUse>& use_material(std::size_t index);
  void finish();

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

void SceneReader::add_primitive(const json& primitive, const Eigen::Affine3d& transform) {
  const auto mode =
      static_cast<Mode>(file_.number(primitive, "mode", static_cast<std::size_t>(Mode::triangles)));
  const json& attributes = primitive.at("attributes");
  const bool wanted =
      mode == Mode::points || mode == Mode::triangles || mode == Mode::strip || mode == Mode::fan;
  if (!wanted || !attributes.contains("POSITION")) {
    return;
  }
  const GltfAccessor positions(file_, file_.number(attributes, "POSITION"));
  if (positions.components() != 3) {
    file_.fail_damaged("its positions are no triples");
  }
  check_mesh_size(file_.path(), mesh_.vertices.size() + mesh_.lone_points.size() + positions.count());
  if (mode == Mode::points) {
    add_points(positions, attributes, transform);
    return;
  }
  const std::size_t first = mesh_.vertices.size();
  for (std::size_t i = 0; i < positions.count(); ++i) {
    const Eigen::Vector3d at =
        transform * Eigen::Vector3d(positions.at(i, 0), positions.at(i, 1), positions.at(i, 2));
    placer_.add_vertex(at.x(), at.y(), at.z());
  }
  add_vertex_colours(attributes, positions.count());
  const auto& [material, texture] = use_material(file_.number(primitive, "material", kNoMaterial));
  if (mesh_.materials[material].picture) {
    add_texture_points(attributes, texture, positions.count());
  }
  mesh_.runs.push_back({mesh_.triangles.size(), material});
  add_triangles(corners_of(primitive, first, positions.count()), mode);
}

void SceneReader::add_points(const GltfAccessor& positions, const json& attributes,
                             const Eigen::Affine3d& transform) {
  for (std::size_t i = 0; i < positions.count(); ++i) {
    const Eigen::Vector3d at =
        transform * Eigen::Vector3d(positions.at(i, 0), positions.at(i, 1), positions.at(i, 2));
    mesh_.lone_points.push_back(placer_.place(at.x(), at.y(), at.z()));
  }
  if (!attributes.contains("COLOR_0")) {
    return;
  }
  const GltfAccessor colours(file_, file_.number(attributes, "COLOR_0"));
  mesh_.lone_colours.resize(mesh_.lone_points.size() - positions.count(), kGrey);
  for (std::size_t i = 0; i < std::min(colours.count(), positions.count()) && colours.components() >= 3;
       ++i) {
    mesh_.lone_colours.push_back(
        {screen_value(colours.at(i, 0)), screen_value(colours.at(i, 1)), screen_value(colours.at(i, 2))});
  }
}

void SceneReader::add_vertex_colours(const json& attributes, std::size_t count) {
  if (!attributes.contains("COLOR_0")) {
    return;
  }
  const GltfAccessor colours(file_, file_.number(attributes, "COLOR_0"));
  if (colours.count() < count || colours.components() < 3) {
    file_.fail_damaged("it has fewer colours than corners");
  }
  mesh_.vertex_colours.resize(mesh_.vertices.size() - count, MeshMaterial().colour);
  for (std::size_t i = 0; i < count; ++i) {
    mesh_.vertex_colours.push_back(
        {screen_value(colours.at(i, 0)), screen_value(colours.at(i, 1)), screen_value(colours.at(i, 2))});
  }
}

void SceneReader::add_texture_points(const json& attributes, const GltfTextureUse& use, std::size_t count) {
  const std::string name = "TEXCOORD_" + std::to_string(use.set);
  if (!attributes.contains(name)) {
    return;  // those that are not there show grey
  }
  const GltfAccessor uv(file_, file_.number(attributes, name.c_str()));
  if (uv.count() < count || uv.components() < 2) {
    file_.fail_damaged("it has fewer texture points than corners");
  }
  constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
  mesh_.texture_points.resize(mesh_.vertices.size() - count, Eigen::Vector2f(kNan, kNan));
  for (std::size_t i = 0; i < count; ++i) {
    mesh_.texture_points.push_back(use.place(uv.at(i, 0), uv.at(i, 1)));
  }
}

std::vector<std::uint32_t> SceneReader::corners_of(const json& primitive, std::size_t first,
                                                   std::size_t count) const {
  std::vector<std::uint32_t> corners;
  if (!primitive.contains("indices")) {
    for (std::size_t i = 0; i < count; ++i) {
      corners.push_back(static_cast<std::uint32_t>(first + i));
    }
    return corners;
  }
  const GltfAccessor indices(file_, file_.number(primitive, "indices"));
  corners.reserve(indices.count());
  for (std::size_t i = 0; i < indices.count(); ++i) {
    const double index = indices.at(i, 0);
    if (!(index >= 0 && index < static_cast<double>(count))) {
      fail_missing_vertex(file_.path(), std::to_string(static_cast<long long>(index)), count);
    }
    corners.push_back(static_cast<std::uint32_t>(first + static_cast<std::size_t>(index)));
  }
  return corners;
}

void SceneReader::add_triangles(const std::vector<std::uint32_t>& corners, Mode mode) {
  check_mesh_size(file_.path(), mesh_.triangles.size() + corners.size());
  const std::size_t step = mode == Mode::triangles ? 3 : 1;
  for (std::size_t i = 2; i < corners.size(); i += step) {
    const std::size_t start = mode == Mode::fan ? 0 : i - 2;
    mesh_.triangles.push_back({corners[start], corners[i - 1], corners[i]});
  }
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

void SceneReader::finish() {
  if (!mesh_.vertex_colours.empty()) {
    mesh_.vertex_colours.resize(mesh_.vertices.size(), MeshMaterial().colour);
  }
  if (!mesh_.lone_colours.empty()) {
    mesh_.lone_colours.resize(mesh_.lone_points.size(), kGrey);
  }
}

}  // namespace

bool looks_like_gltf(const MappedFile& file) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  std::string_view bytes = file.bytes();
  if (bytes.starts_with(kByteOrderMark)) {
    bytes.remove_prefix(kByteOrderMark.size());
  }
  const std::size_t first = bytes.find_first_not_of(" \t\r\n");
  return bytes.starts_with("glTF") || (first != std::string_view::npos && bytes[first] == '{');
}

std::unique_ptr<PointSource> open_gltf(const MappedFile& file, std::size_t most_points) {
  MeshFacts facts;
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
