#pragma once
/// STL meshes, ASCII and binary (3D Systems, "StereoLithography Interface Specification", 1989).

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_stl(const MappedFile& file);

/// Requires: looks_like_stl(file). Throws InputError if the file is cut short or broken.
std::unique_ptr<PointSource> open_stl(const MappedFile& file, std::size_t most_points);

}  // namespace flitchwise::scan
