#pragma once
/// PCD: ASCII, binary and compressed.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Requires: looks_like_pcd(file). The file must outlive the source. Throws InputError. A compressed file is
/// unpacked in memory as a whole.
std::unique_ptr<PointSource> open_pcd(const MappedFile& file);

}  // namespace flitchwise::scan
