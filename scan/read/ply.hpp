#pragma once
/// PLY: ASCII, binary little and big endian.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_ply(const MappedFile& file);

/// The points of the element "vertex". The file must outlive the source. Throws InputError.
std::unique_ptr<PointSource> open_ply(const MappedFile& file, std::size_t most_points);

}  // namespace flitchwise::scan
