#include "tools/job/read_scans.hpp"

#include <algorithm>

#include "scan/merge/merge.hpp"
#include "scan/model/errors.hpp"
#include "tools/job/find_log.hpp"

namespace flitchwise {
namespace {

/// The worst of the alignments: a person wants to know how far the surfaces may lie apart.
scan::ScansMerged agreement_of(const scan::MergeResult& merged) {
  scan::ScansMerged all{merged.alignments.size(), 0, 1};
  for (std::size_t i = 1; i < merged.alignments.size(); ++i) {
    all.apart_m = std::max(all.apart_m, merged.alignments[i].residual_m);
    all.shared_share = std::min(all.shared_share, merged.alignments[i].overlap_share);
  }
  return all;
}

void add_counts(const scan::ReadResult& file, scan::ReadResult& all) {
  all.points_read += file.points_read;
  all.points_skipped += file.points_skipped;
  all.grid = std::max(all.grid, file.grid);
  all.warnings.insert(all.warnings.end(), file.warnings.begin(), file.warnings.end());
  if (all.format != file.format) {
    all.format = {scan::FileFormat::Kind::several};
  }
}

scan::ReadResult read_one(const ScanRequest& request, std::size_t which, const OnStage& on_stage) {
  scan::ReadOptions options;
  if (on_stage) {
    options.on_progress = [&](double share) {
      on_stage({Stage::reading, share, which, request.files.size()});
    };
    options.on_progress(0);
  }
  return scan::read(request.files[which], options);
}

}  // namespace

ReadScans read_scans(const ScanRequest& request, const OnStage& on_stage) {
  require(!request.files.empty(), "name a scan file");
  const std::size_t count = request.files.size();
  ReadScans scans;
  std::vector<scan::Cloud> clouds;
  for (std::size_t i = 0; i < count; ++i) {
    scan::ReadResult file = read_one(request, i, on_stage);
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
    on_stage({Stage::merging});
  }
  scan::MergeOptions options;
  options.metres_per_unit = rough_scale(clouds.front(), request, scans.all.frame);
  options.up = request.up ? request.up : scans.all.frame.up;
  scan::MergeResult merged = scan::merge(clouds, options);
  scans.all.cloud = std::move(merged.cloud);
  scans.why_not = merged.message;
  if (merged.status == scan::MergeResult::Status::ok) {
    scans.agreement = agreement_of(merged);
  }
  return scans;
}

}  // namespace flitchwise
