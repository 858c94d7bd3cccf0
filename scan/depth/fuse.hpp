#pragma once
/// A folder of depth images in, one cloud out.

#include <filesystem>

#include "scan/read/read_result.hpp"

namespace flitchwise::scan {

/// One image is in memory at a time. Throws InputError (one sentence) for a folder or file that will not do.
ReadResult read_depth_folder(const std::filesystem::path& folder, const ReadOptions& options);

}  // namespace flitchwise::scan
