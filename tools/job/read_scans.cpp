#include "tools/job/read_scans.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "scan/merge/merge.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "tools/job/find_log.hpp"

namespace flitchwise {
namespace {

constexpr double kPercent = 100;

/// The worst of the alignments: a person wants to know how far the surfaces may lie apart.
std::string note_on(const scan::MergeResult& merged) {
  double apart_m = 0;
  double shared = 1;
  for (std::size_t i = 1; i < merged.alignments.size(); ++i) {
    apart_m = std::max(apart_m, merged.alignments[i].residual_m);
    shared = std::min(shared, merged.alignments[i].overlap_share);
  }
  std::ostringstream text;
  text << merged.alignments.size() << " scans merged; they agree within "
       << std::max(1L, std::lround(apart_m * kMmAMetre)) << " mm over " << std::lround(shared * kPercent)
       << " % of the log's surface.";
  return text.str();
}

void add_counts(const scan::ReadResult& file, scan::ReadResult& all) {
  all.points_read += file.points_read;
  all.points_skipped += file.points_skipped;
  all.grid = std::max(all.grid, file.grid);
  all.warnings.insert(all.warnings.end(), file.warnings.begin(), file.warnings.end());
  if (all.format != file.format) {
    all.format = "files of several formats";
  }
}

scan::ReadResult read_one(const scan::ScanFile& file, const std::string& name, const OnStage& on_stage) {
  scan::ReadOptions options;
  if (on_stage) {
    on_stage("reading " + name);
    options.on_progress = [&](double share) {
      on_stage("reading " + name + ", " + std::to_string(std::lround(share * kPercent)) + " %");
    };
  }
  return scan::read(file, options);
}

}  // namespace

ReadScans read_scans(const ScanRequest& request, const OnStage& on_stage) {
  require(!request.files.empty(), "name a scan file");
  const std::size_t count = request.files.size();
  ReadScans scans;
  std::vector<scan::Cloud> clouds;
  for (std::size_t i = 0; i < count; ++i) {
    scan::ReadResult file =
        read_one(request.files[i], count == 1 ? "the scan" : "scan " + std::to_string(i + 1), on_stage);
    clouds.push_back(std::move(file.cloud));
    if (i == 0) {
      scans.all = std::move(file);
    } else {
      add_counts(file, scans.all);
    }
  }
  if (count == 1) {
    scans.all.cloud = std::move(clouds.front());
    return scans;
  }
  if (on_stage) {
    on_stage("laying the scans onto each other");
  }
  scan::MergeOptions options;
  options.metres_per_unit = rough_scale(clouds.front(), request, scans.all.frame);
  options.up = request.up ? request.up : scans.all.frame.up;
  for (const scan::ScanFile& file : request.files) {
    options.names.push_back(file.path.filename().string());
  }
  scan::MergeResult merged = scan::merge(clouds, options);
  scans.all.cloud = std::move(merged.cloud);
  scans.why_not = merged.message;
  scans.note = merged.status == scan::MergeResult::Status::ok ? note_on(merged) : "";
  return scans;
}

}  // namespace flitchwise
