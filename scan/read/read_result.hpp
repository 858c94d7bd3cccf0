#pragma once
/// What a reader is asked and what it answers.

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "scan/model/limits.hpp"
#include "scan/model/scan_facts.hpp"
#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

struct ReadOptions {
  /// The cloud is thinned on a cubic grid while it is read, as coarsely as it takes to keep at most this many
  /// points; a file with fewer is kept whole. Raise it only for detail finer than a few millimetres. Range:
  /// 1,000 (fewer do not show the shape of a log) to 2,000,000,000 (places in the thinning table fit 32
  /// bits).
  std::size_t max_points = 4'000'000;
  /// A file with fewer finite points is refused as no scan of a log. Range: at least 1. Lower it for test
  /// data.
  std::size_t fewest_points = 100;
  /// Told now and then how much is done, from 0 to 1, in the caller's thread; a small file is done before the
  /// first time.
  std::function<void(double share)> on_progress = {};
};
FLITCHWISE_FIELDS(ReadOptions, max_points, fewest_points, on_progress)
constexpr auto limits_of(const ReadOptions*) {
  return std::tuple{Limit{&ReadOptions::max_points, {1000, 2e9}},
                    Limit{&ReadOptions::fewest_points, {1, 2e9}}};
}

/// What a file says about its own frame, by its header or by its format's definition. Empty where it is
/// silent.
struct FileFrame {
  std::optional<Eigen::Vector3d> up;                    ///< unit axis of the file that points up
  std::optional<double> metres_per_unit;                ///< > 0
  FileFormat::Kind format = FileFormat::Kind::unknown;  ///< that says so
};

struct ReadResult {
  Cloud cloud;      ///< in the file's own units and axes
  FileFrame frame;  ///< what the file states of units and axes
  FileFormat format;
  std::uint64_t points_read = 0;     ///< finite points in the file
  std::uint64_t points_skipped = 0;  ///< points with a coordinate that is not a finite number
  double grid = 0;                 ///< edge of the thinning grid in file units; 0 if the cloud was kept whole
  std::vector<ScanFact> warnings;  ///< what the file lacks, such as a texture's picture
};

}  // namespace flitchwise::scan
