#include "scan/read/mesh/mesh.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "scan/read/failure.hpp"
#include "scan/read/survey.hpp"

namespace flitchwise::scan {
namespace {

// Float offsets up to this resolve 0.03 mm even where the unit is the metre; files in other units lose
// nothing by an origin of their own.
constexpr double kNearZero = 500;

// Indices fit 32 bits with room to spare, and nothing that a phone exports comes near.
constexpr std::uint64_t kMost = 200'000'000;

}  // namespace

bool Mesh::has_colour() const {
  return !vertex_colours.empty() || !lone_colours.empty() ||
         std::any_of(materials.begin(), materials.end(), [](const MeshMaterial& material) {
           return material.picture || material.colour != MeshMaterial().colour;
         });
}

Eigen::Vector3f VertexPlacer::place(double x, double y, double z) {
  if (!is_usable(x, y, z)) {
    return Eigen::Vector3f::Constant(std::numeric_limits<float>::quiet_NaN());
  }
  const Eigen::Vector3d point(x, y, z);
  if (!has_origin_) {
    has_origin_ = true;
    const auto far = [](double value) { return std::abs(value) > kNearZero ? std::round(value) : 0; };
    mesh_.origin = point.unaryExpr(far);
  }
  return (point - mesh_.origin).cast<float>();
}

void check_mesh_size(const std::filesystem::path& file, std::uint64_t vertices_or_triangles) {
  if (vertices_or_triangles > kMost) {
    fail(file, "says that its mesh has " + grouped(vertices_or_triangles) +
                   " corners or triangles, more than the " + grouped(kMost) +
                   " that are read: export it with fewer, or as a point cloud in PLY");
  }
}

void check_corners(const std::filesystem::path& file, Mesh& mesh) {
  for (const Corners& corners : mesh.triangles) {
    for (const std::uint32_t corner : corners) {
      if (corner >= mesh.vertices.size()) {
        fail_missing_vertex(file, std::to_string(corner), mesh.vertices.size());
      }
      if (!mesh.vertices[corner].allFinite()) {
        fail(file, "is damaged: a corner of its mesh has no finite coordinates; export the mesh again");
      }
    }
  }
  for (Corners& corners : mesh.texture_corners) {
    for (std::uint32_t& corner : corners) {
      corner = corner < mesh.texture_points.size() ? corner : Mesh::kNoTexture;
    }
  }
}

void fail_missing_vertex(const std::filesystem::path& file, const std::string& named,
                         std::uint64_t vertices) {
  fail(file, "is damaged: a triangle names vertex " + named + " of " + grouped(vertices) +
                 "; copy or export the mesh again");
}

}  // namespace flitchwise::scan
