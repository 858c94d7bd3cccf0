#pragma once
/// PLY files whose vertices are joined to faces.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/ply_header.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// There is at least one face, and it is a list of vertices.
bool has_faces(const PlyHeader& header);

/// The mesh of the file's vertices, which are coloured by themselves or by a picture. Faces with more than
/// three corners are split into triangles round their first corner. Requires: has_faces(header). Throws
/// InputError if the file is cut short or a face names a vertex that is not there.
std::unique_ptr<PointSource> open_ply_mesh(const MappedFile& file, const PlyHeader& header,
                                           const PointSource& vertices, std::size_t most_points);

}  // namespace flitchwise::scan
