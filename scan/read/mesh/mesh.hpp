#pragma once
/// A triangle mesh in memory, as the readers of mesh formats build it, and the checks that they share.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "scan/read/cloud.hpp"
#include "scan/read/mesh/image.hpp"

namespace flitchwise::scan {

using Corners = std::array<std::uint32_t, 3>;

/// How a stretch of triangles is coloured: by the picture if there is one, else by `colour`; either times the
/// vertices' colours, where they have any.
struct MeshMaterial {
  Colour colour = {255, 255, 255};  ///< as shown on a screen (sRGB)
  std::shared_ptr<const Image> picture;
  Wrap wrap_u = Wrap::repeat;
  Wrap wrap_v = Wrap::repeat;
};

/// Triangles from `first` to the next run have this material.
struct MaterialRun {
  std::size_t first = 0;
  std::size_t material = 0;
};

struct Mesh {
  Eigen::Vector3d origin = Eigen::Vector3d::Zero();
  std::vector<Eigen::Vector3f> vertices;        ///< offsets from the origin; NaN where the file has no number
  std::vector<Colour> vertex_colours;           ///< empty, or one a vertex
  std::vector<Corners> triangles;               ///< indices of vertices
  std::vector<Eigen::Vector2f> texture_points;  ///< u to the right, v upwards, 0 to 1 over the picture
  std::vector<Corners> texture_corners;         ///< indices of texture points, one set a triangle; empty if
                                                ///< they are the vertices' own
  std::vector<MaterialRun> runs;                ///< ascending; triangles before the first are plain white
  std::vector<MeshMaterial> materials;
  std::vector<Eigen::Vector3f> lone_points;  ///< offsets from the origin: points beside the triangles
  std::vector<Colour> lone_colours;          ///< empty, or one a lone point

  /// Marks a corner without texture point: the triangle then shows its material's colour alone.
  static constexpr std::uint32_t kNoTexture = 0xFFFFFFFF;

  /// Anything but plain white.
  bool has_colour() const;
};

/// Places vertices in a mesh: chooses the origin by the first one, so that offsets keep their millimetres.
class VertexPlacer {
 public:
  explicit VertexPlacer(Mesh& mesh) : mesh_(mesh) {}
  /// The offset; NaN if a coordinate is not finite or beyond what a measurement can be.
  Eigen::Vector3f place(double x, double y, double z);
  void add_vertex(double x, double y, double z) { mesh_.vertices.push_back(place(x, y, z)); }

 private:
  Mesh& mesh_;
  bool has_origin_ = false;
};

/// Throws InputError if there are more vertices or triangles than a mesh may have here.
void check_mesh_size(const std::filesystem::path& file, std::uint64_t vertices_or_triangles);

/// Throws InputError for a triangle that names a vertex which the file does not have.
[[noreturn]] void fail_missing_vertex(const std::filesystem::path& file, const std::string& named,
                                      std::uint64_t vertices);

/// Throws InputError if a triangle names a vertex that is not there or has no finite coordinates. Corners
/// whose texture point is not there lose it.
void check_corners(const std::filesystem::path& file, Mesh& mesh);

}  // namespace flitchwise::scan
