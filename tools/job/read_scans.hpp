#pragma once
/// One or more scan files of one log into one cloud.

#include <optional>

#include "scan/read_scan.hpp"
#include "tools/job/model_log.hpp"

namespace flitchwise {

struct ReadScans {
  scan::ReadResult all;  ///< the cloud in the first file's frame and unit; counts over all files
  std::optional<scan::ScanFact> why_not;  ///< the files do not fit together; then there is no cloud
  std::optional<scan::ScansMerged> agreement;
};

/// Throws InputError for a file that cannot be read. Requires: at least one file.
ReadScans read_scans(const ScanRequest& request, const OnStage& on_stage);

}  // namespace flitchwise
