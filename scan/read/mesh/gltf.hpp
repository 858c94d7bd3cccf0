#pragma once
/// glTF 2.0 models, as JSON with buffers inside or beside it and as GLB (Khronos Group, "glTF 2.0
/// Specification", ISO/IEC 12113:2022).

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_gltf(const MappedFile& file);

/// The default scene's triangles and points, in metres with y up, as the format defines them. Skins, morphing
/// and lines are left out. Requires: looks_like_gltf(file). Throws InputError if the file is cut short or
/// damaged, lacks a buffer, or is compressed; a picture that is missing is a warning.
std::unique_ptr<PointSource> open_gltf(const MappedFile& file, std::size_t most_points);

}  // namespace flitchwise::scan
