#include "scan/merge/merge.hpp"

#include <algorithm>
#include <cmath>

#include "scan/merge/align.hpp"
#include "scan/model/errors.hpp"

namespace flitchwise::scan {
namespace {

using Status = MergeResult::Status;

constexpr double kMostSizeRatio = 20;   // of two scans of one log: more is another unit, such as mm beside m
constexpr double kMostScaleOff = 0.01;  // a phone's own error of scale
// An alternative that is nearly as good in all of these is as good.
constexpr double kNearlyAsMuch = 0.5;
constexpr double kNearlyAsWell = 0.03;
constexpr double kNearlyAsMuchBeside = 0.1;
constexpr double kNearlyAsClose = 1.5;
constexpr double kTellsNothing_m = 0.0005;  // a difference below any scan's noise
// A frame that two files share is left alone if the closest pose is no further off.
constexpr double kStays_m = 0.01;
constexpr double kArmsLengths_m = 1.5;
Cloud in_metres(const Cloud& cloud, double scale) {
  Cloud metres;
  metres.origin = cloud.origin * scale;
  metres.points.reserve(cloud.size());
  for (const Eigen::Vector3f& p : cloud.points) {
    metres.points.emplace_back(p * static_cast<float>(scale));
  }
  return metres;
}

double size_of(const Cloud& cloud) {
  Eigen::Array3f least = cloud.points.front();
  Eigen::Array3f most = least;
  for (const Eigen::Vector3f& p : cloud.points) {
    least = least.min(p.array());
    most = most.max(p.array());
  }
  return static_cast<double>((most - least).matrix().norm());
}

/// Adds `cloud` to `to`, moved by `pose` (file units).
void join(const Cloud& cloud, const Eigen::Isometry3d& pose, Cloud& to) {
  if (to.colours.empty() || cloud.colours.empty()) {
    to.colours.clear();
  } else {
    to.colours.insert(to.colours.end(), cloud.colours.begin(), cloud.colours.end());
  }
  to.points.reserve(to.size() + cloud.size());
  const Eigen::Vector3d shift = pose * cloud.origin - to.origin;
  for (const Eigen::Vector3f& p : cloud.points) {
    to.points.emplace_back((pose.linear() * p.cast<double>() + shift).cast<float>());
  }
}

Eigen::Isometry3d times(const Eigen::Isometry3d& pose, double scale) {
  Eigen::Isometry3d scaled = pose;
  scaled.translation() *= scale;
  return scaled;
}

/// `best` has the least misfit.
bool as_good(const Placement& other, const Placement& best) {
  return agree(other) &&
         (!best.beside_share || other.beside_share.value_or(0) >= *best.beside_share - kNearlyAsMuchBeside) &&
         other.overlap_share >= kNearlyAsMuch * best.overlap_share &&
         other.same_share >= best.same_share - kNearlyAsWell &&
         other.residual_m <= std::max(kNearlyAsClose * best.residual_m, kTellsNothing_m);
}

ScanFact unlike(std::size_t scan, const std::vector<Placement>& found) {
  if (found.empty()) {
    return ScanUnlike{scan};
  }
  const Placement& best = found.front();
  return ScanUnlike{scan,
                    BestPlace{best.overlap_share, kLeastOverlap, best.same_share, kLeastSame, best.residual_m,
                              best.most_residual_m, agree(best) ? best.beside_share : std::nullopt}};
}

/// Why the best of these placements of a scan will not do; ok if it will.
Status verdict(std::size_t scan, const std::vector<Placement>& found, std::optional<ScanFact>& why) {
  if (found.empty() || !agree(found.front()) || !shows_same_place(found.front())) {
    why = unlike(scan, found);
    return Status::do_not_fit;
  }
  const Placement& best = found.front();
  if (!holds(best) || std::any_of(found.begin() + 1, found.end(),
                                  [&](const Placement& other) { return as_good(other, best); })) {
    why = ScanAmbiguous{scan};
    return Status::ambiguous;
  }
  if (!is_straight(best)) {
    why = ScanBends{scan, best.bend_m, kMostBend_m};
    return Status::ambiguous;
  }
  if (std::abs(best.scale - 1) > kMostScaleOff) {
    why = ScanScaled{scan, best.scale};
    return Status::scales_differ;
  }
  return Status::ok;
}

/// Whether a pose hardly changes what lies within an arm's length or two of the views' middles.
bool moves_little(const Placement& from, const Placement& to) {
  const Eigen::Isometry3d moved = from.onto_from_from.inverse() * to.onto_from_from;
  return moved.translation().norm() < kStays_m &&
         Eigen::AngleAxisd(moved.linear()).angle() * kArmsLengths_m < kStays_m;
}

/// Lays one scan, which is `which` of all, onto what is joined so far.
Status lay(const Cloud& joined, const Cloud& cloud, std::size_t which, const MergeOptions& options,
           Alignment& alignment, std::optional<ScanFact>& why) {
  const double scale = options.metres_per_unit;
  const double ratio = size_of(cloud) / size_of(joined);
  if (!(ratio < kMostSizeRatio && ratio > 1 / kMostSizeRatio)) {
    why = ScanOtherSize{which, ratio};
    return Status::scales_differ;
  }
  const AlignView onto = align_view(in_metres(joined, scale), options.up);
  const AlignView from = align_view(in_metres(cloud, scale), options.up);
  const Aligner aligner(onto, from);
  Placement placement = aligner.as_given();
  alignment.as_given =
      is_close(placement) && (!holds(placement) || moves_little(placement, aligner.refined(placement)));
  if (!alignment.as_given) {
    const std::vector<Placement> found = aligner.search();
    const Status status = verdict(which, found, why);
    if (status != Status::ok) {
      return status;
    }
    placement = found.front();
    alignment.first_from_this =
        times(onto.view_from_file.inverse() * placement.onto_from_from * from.view_from_file, 1 / scale);
  }
  alignment.overlap_share = placement.overlap_share;
  alignment.same_share = placement.same_share;
  alignment.residual_m = placement.residual_m;
  return Status::ok;
}

}  // namespace

MergeResult merge(const std::vector<Cloud>& in_files, const MergeOptions& options) {
  require(!in_files.empty(), "there is no scan to merge");
  require(std::none_of(in_files.begin(), in_files.end(), [](const Cloud& c) { return c.empty(); }),
          "a scan to merge holds no points");
  require(options.metres_per_unit > 0, "the scale must be a positive number of metres a file unit");
  MergeResult result;
  result.cloud = in_files.front();
  result.alignments.resize(in_files.size());
  result.alignments.front().as_given = true;
  std::vector<std::size_t> left;
  for (std::size_t i = 1; i < in_files.size(); ++i) {
    left.push_back(i);
  }
  // A scan may share nothing with the first but much with another: go round until none is left.
  while (!left.empty()) {
    const std::size_t before = left.size();
    for (auto it = left.begin(); it != left.end();) {
      result.status = lay(result.cloud, in_files[*it], *it, options, result.alignments[*it], result.message);
      if (result.status != Status::ok) {
        ++it;
        continue;
      }
      join(in_files[*it], result.alignments[*it].first_from_this, result.cloud);
      it = left.erase(it);
    }
    if (left.size() == before) {
      result.cloud = {};
      return result;
    }
  }
  result.status = Status::ok;
  result.message.reset();
  return result;
}

}  // namespace flitchwise::scan
