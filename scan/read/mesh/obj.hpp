#pragma once
/// OBJ meshes and point clouds (Alias|Wavefront, "Object Files (.obj)", Advanced Visualizer 3.0, appendix
/// B1), with the widespread "v x y z r g b" for coloured vertices.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_obj(const MappedFile& file);

/// With faces a mesh, without a point cloud of its vertices. Faces with more than three corners are split
/// into triangles round their first corner. Requires: looks_like_obj(file). Throws InputError for a broken
/// line and for a face that names a vertex which is not there; a material or picture that is missing is a
/// warning.
std::unique_ptr<PointSource> open_obj(const MappedFile& file, std::size_t most_points);

}  // namespace flitchwise::scan
