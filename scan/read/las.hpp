#pragma once
/// LAS (ASPRS LAS Specification 1.4 R15, 2019, and the older 1.0 to 1.3): survey points as scaled integers.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

bool looks_like_las(const MappedFile& file);

/// Point formats 0 to 10. Points that are marked as withheld (deleted) come out with coordinates that are not
/// finite. The file must outlive the source. Throws InputError for a broken or compressed (LAZ) file.
std::unique_ptr<PointSource> open_las(const MappedFile& file);

}  // namespace flitchwise::scan
