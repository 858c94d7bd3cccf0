#pragma once
/// XYZ text: one point a line, with or without a line of column names, a line with the number of points
/// (PTS), comments, colour and further columns.

#include <memory>

#include "scan/read/mapped_file.hpp"
#include "scan/read/point_source.hpp"

namespace flitchwise::scan {

/// Null if the file is no such text. The file must outlive the source. Throws InputError if it is such a text
/// of an unusable kind.
std::unique_ptr<PointSource> open_xyz(const MappedFile& file);

}  // namespace flitchwise::scan
