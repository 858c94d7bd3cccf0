#pragma once
/// Scan file in, Cloud out. The format is known by the file's content, not by its name.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "flitchwise/scan/cloud.hpp"

namespace flitchwise::scan {

struct ReadOptions {
  /// The cloud is thinned on a cubic grid while it is read, as coarsely as it takes to keep at most this many
  /// points; a file with fewer is kept whole. Range: 1,000 to 2,000,000,000. Raise it only for detail finer
  /// than a few millimetres.
  std::size_t max_points = 4'000'000;
  /// A file with fewer finite points is refused as no scan of a log. Range: at least 1. Lower it for test
  /// data.
  std::size_t fewest_points = 100;
  /// Told now and then how much is done, from 0 to 1, in the caller's thread; a small file is done before the
  /// first time.
  std::function<void(double share)> on_progress = {};
};

/// What a file says about its own frame, by its header or by its format's definition. Empty where it is
/// silent.
struct FileFrame {
  std::optional<Eigen::Vector3d> up;      ///< unit axis of the file that points up
  std::string up_source;                  ///< in words, with `up`: "the file (glTF is y-up)"
  std::optional<double> metres_per_unit;  ///< > 0
  std::string unit_source;                ///< in words, with `metres_per_unit`
};

struct ReadResult {
  Cloud cloud;                       ///< in the file's own units and axes
  FileFrame frame;                   ///< what the file states of units and axes
  std::string format;                ///< in words: "PLY, binary little endian"
  std::uint64_t points_read = 0;     ///< finite points in the file
  std::uint64_t points_skipped = 0;  ///< points with a coordinate that is not a finite number
  double grid = 0;  ///< edge of the thinning grid in file units; 0 if the cloud was kept whole
  std::vector<std::string> warnings;  ///< one sentence each: what the file lacks, such as a texture's picture
};

/// Reads one scan file: PLY (ASCII, binary little and big endian), PCD (ASCII, binary, compressed), LAS (1.0
/// to 1.4), E57, OBJ, STL, glTF 2.0, GLB or XYZ text. A mesh becomes points spread evenly over its surface:
/// as many as show a log and its ground every few millimetres, at most `max_points`, the same for the same
/// file. Throws InputError (one sentence) if the file cannot be opened, is not one of these formats, is cut
/// short or holds too few finite points; BadUse if an option is out of range.
ReadResult read(const std::filesystem::path& file, const ReadOptions& options = {});

/// Whether `read` knows the format, from the first bytes and not from the name, or whether the folder is one
/// of depth frames: for those who look for scans among other files. What is recognised can be broken all the
/// same. Text with at least three columns of numbers is recognised as XYZ. False for a file that cannot be
/// opened.
bool is_scan(const std::filesystem::path& file);

}  // namespace flitchwise::scan
