#pragma once
/// E57 (ASTM E2807-11): the scans of one or several standpoints, moved into the file's common frame.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_e57(const MappedFile& file);

/// Points that the file marks as invalid come out with coordinates that are not finite. Coordinates are
/// metres by the standard. The file must outlive the source. Throws InputError for a broken file.
std::unique_ptr<PointSource> open_e57(const MappedFile& file);

}  // namespace flitchwise::scan
