#pragma once
/// Points spread evenly over the surface of a mesh.

#include <filesystem>
#include <memory>

#include "scan/read/mesh/mesh.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Samples are spread by area: the surface is cut, triangle by triangle in the file's order, into pieces of
/// equal area, and each piece gets one point. Which one follows from the piece's number alone, by a sequence
/// that leaves neither gaps nor heaps (R2: M. Roberts, "The Unreasonable Effectiveness of Quasirandom
/// Sequences", 2018) laid over the triangle without changing areas (E. Heitz, "A Low-Distortion Map Between
/// Triangle and Square", 2019). The unit of the file is not known here, so the distance of the points follows
/// from their number; see `sample_count`.
class MeshSource : public PointSource {
 public:
  /// `samples` points for the triangles, after the mesh's lone points.
  /// Requires: there are triangles or lone points.
  /// Throws InputError if a triangle names a vertex that is not there or not finite, or if there are
  /// triangles, but none has any area.
  MeshSource(const std::filesystem::path& file, Mesh mesh, std::size_t samples, SourceFacts facts);

  void visit(const std::function<void(const Batch&)>& visitor) const override;

 private:
  double area(std::size_t triangle) const;
  Colour picture_colour(std::size_t triangle, const MeshMaterial& material,
                        const Eigen::Vector3d& weights) const;
  Colour colour(std::size_t triangle, const MeshMaterial* material, const Eigen::Vector3d& weights) const;

  Mesh mesh_;
  std::size_t samples_;
  double total_area_ = 0;
};

/// How many points show a mesh of so many triangles without loss, if at most `most` may be kept.
std::size_t sample_count(std::size_t triangles, std::size_t most);

/// A mesh as points. The number of triangles is added to the format's name ("STL, binary"), and whether there
/// is colour.
std::unique_ptr<PointSource> sampled(const std::filesystem::path& file, Mesh mesh, std::size_t most_points,
                                     SourceFacts facts);

}  // namespace flitchwise::scan
