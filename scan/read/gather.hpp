#pragma once
/// From a format's points to the cloud: survey, origin, thinning, colours.

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"
#include "scan/read/read_result.hpp"

namespace flitchwise::scan {

/// Throws InputError if there are too few finite points, or what the source throws.
ReadResult gather(MappedFile& file, const PointSource& source, const ReadOptions& options);

}  // namespace flitchwise::scan
