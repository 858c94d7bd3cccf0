#pragma once
/// Writes a simulated scan to a file.

#include <cstdint>
#include <filesystem>
#include <string>

#include "tools/simulate/scan.hpp"

namespace flitchwise::simulate {

enum class FileFormat { ply_binary, ply_ascii, xyz };

/// How the scan file's coordinates map to those of the truth (z up, mm).
struct FileFrame {
  bool y_up = false;            ///< file (x, y, z) is z-up (x, -z, y)
  double file_units_per_m = 1;  ///< 1: metres, 1000: millimetres; (0, 1e6]
};

/// A scan-frame point (metres, z up) in the file's axes and units.
Eigen::Vector3d in_file(const Eigen::Vector3d& in_scan_m, const FileFrame& frame);

/// The file's bytes: x, y, z as float and red, green, blue. XYZ text has one point a line, six numbers.
std::string scan_bytes(const ScanPoints& scan, FileFormat format, const FileFrame& frame);

/// Writes `bytes`. Throws InputError (one sentence) if the file cannot be written.
void write_file(const std::filesystem::path& file, const std::string& bytes);

}  // namespace flitchwise::simulate
