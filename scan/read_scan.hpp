#pragma once
/// Scan file in, Cloud out. The format is known by the file's content, not by its name.

#include <filesystem>

#include "scan/read/read_result.hpp"
#include "scan/read/scan_file.hpp"

namespace flitchwise::scan {

/// Reads one scan: PLY (ASCII, binary little and big endian), PCD (ASCII, binary, compressed), LAS (1.0
/// to 1.4), E57, OBJ, STL, glTF 2.0, GLB or XYZ text. A mesh becomes points spread evenly over its surface:
/// as many as show a log and its ground every few millimetres, at most `max_points`, the same for the same
/// file. Throws InputError (one sentence) if the file cannot be opened, is not one of these formats, is cut
/// short or holds too few finite points; BadUse if an option is out of range.
/// A mesh's pictures and buffers beside it, and a folder of depth frames, are read from files only.
ReadResult read(const ScanFile& scan, const ReadOptions& options = {});
ReadResult read(const std::filesystem::path& file, const ReadOptions& options = {});

/// Whether `read` knows the format, from the first bytes and not from the name, or whether the folder is one
/// of depth images: for those who look for scans among other files. What is recognised can be broken all the
/// same. Text with at least three columns of numbers is recognised as XYZ. False for a file that cannot be
/// opened.
bool is_scan(const std::filesystem::path& file);

}  // namespace flitchwise::scan
