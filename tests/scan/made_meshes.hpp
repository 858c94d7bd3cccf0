#pragma once
/// Meshes and their files, made byte by byte for the tests of the mesh readers.

#include <Eigen/Core>
#include <array>
#include <bit>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "tests/scan/read_support.hpp"

namespace flitchwise::scan::test {

struct MadeMesh {
  std::vector<Eigen::Vector3d> vertices;
  std::vector<std::vector<std::uint32_t>> faces;  ///< three corners or more
};

/// A log as a closed tube of squares along x, its ends fans; it lies on z = 0.
struct Tube {
  double length = 3;
  double radius = 0.2;
  std::uint32_t around = 96;
  std::uint32_t along = 30;

  MadeMesh mesh() const;
  double surface() const;  ///< area of barrel and ends, of the round shape
  /// How far a point is from the nearer of barrel and ends.
  double distance(const Eigen::Vector3d& point) const;
};

/// A square of side 1 in the plane z = 0, from the origin, of two triangles.
MadeMesh square();
MadeMesh triangulated(const MadeMesh& mesh);

/// Lines "v" and "f" with this line end.
std::string obj_of(const MadeMesh& mesh, std::string_view line_end = "\n");
std::string ascii_stl_of(const MadeMesh& mesh);
std::string binary_stl_of(const MadeMesh& mesh, std::string_view header = "larch");
/// With uchar colours if there are any. `encoding` as in the header.
std::string ply_mesh_of(const MadeMesh& mesh, const std::string& encoding,
                        const std::vector<Colour>& colours = {});

/// A PNG of 2 x 2 pixels: red, green above blue, white.
std::string four_colours_png();

/// A glTF model that grows buffer view by buffer view.
class MadeGltf {
 public:
  MadeGltf();
  nlohmann::json json;  ///< but for buffers

  /// Appends bytes (on a multiple of four) and returns their buffer view.
  std::size_t add_view(std::string_view bytes);
  /// Appends numbers as an accessor of their own view: "VEC3" and the like, of a component type.
  std::size_t add_floats(const std::vector<float>& numbers, const std::string& type);
  template <typename T>
  std::size_t add_indices(const std::vector<T>& indices, int component_type) {
    std::string bytes;
    for (const T index : indices) {
      bytes += bytes_of(index, std::endian::little);
    }
    return add_accessor(add_view(bytes), indices.size(), "SCALAR", component_type);
  }
  std::size_t add_accessor(std::size_t view, std::size_t count, const std::string& type, int component_type);
  /// Adds a mesh of one primitive.
  std::size_t add_mesh(const nlohmann::json& primitive);
  /// The mesh's triangles as a primitive.
  nlohmann::json triangles_of(const MadeMesh& mesh);

  const std::string& bytes() const { return bytes_; }
  std::string with_data_uri() const;
  std::string with_buffer_beside(const std::string& name) const;
  std::string glb() const;

 private:
  std::string bytes_;
};

constexpr int kUnsignedByte = 5121;
constexpr int kUnsignedShort = 5123;
constexpr int kUnsignedInt = 5125;
constexpr int kFloat = 5126;

/// At most so many samples, so that the tests are quick.
ReadOptions few_samples();

/// Largest distance of a cloud's points from the tube's surface.
double largest_distance(const Cloud& cloud, const Tube& tube);

/// How evenly points lie on the tube's barrel: chi-square of their counts in cells of equal area, over the
/// degrees of freedom. Points thrown at random have 1, evenly spread ones less.
double unevenness(const Cloud& cloud, const Tube& tube);

}  // namespace flitchwise::scan::test
