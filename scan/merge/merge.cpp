#include "scan/merge/merge.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "scan/merge/align.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"

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
constexpr double kTellsNothingM = 0.0005;  // a difference below any scan's noise
// A frame that two files share is left alone if the closest pose is no further off.
constexpr double kStaysM = 0.01;
constexpr double kArmsLengthsM = 1.5;
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

std::string percent(double share) {
  return std::to_string(std::lround(share * 100)) + " %";
}

std::string name_of(std::size_t scan, const MergeOptions& options) {
  return options.names.empty() ? "scan " + std::to_string(scan + 1) : options.names[scan];
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
bool as_good(const Fit& other, const Fit& best) {
  return fits(other) &&
         (!best.beside_share || other.beside_share.value_or(0) >= *best.beside_share - kNearlyAsMuchBeside) &&
         other.overlap_share >= kNearlyAsMuch * best.overlap_share &&
         other.fit_share >= best.fit_share - kNearlyAsWell &&
         other.residual_m <= std::max(kNearlyAsClose * best.residual_m, kTellsNothingM);
}

std::string in_mm(double length_m) {
  return std::to_string(std::max(1L, std::lround(length_m * kMmAMetre))) + " mm";
}

std::string why_unlike(const std::vector<Fit>& found) {
  std::string text = " does not fit the others";
  if (!found.empty()) {
    const Fit& best = found.front();
    text += ": at the best place found both show " + percent(best.overlap_share) +
            " of the log, and of that " + percent(best.fit_share) + " lies on one surface, give or take " +
            in_mm(best.residual_m) + " (wanted: " + percent(kLeastOverlap) + ", " + percent(kLeastFit) +
            " and " + in_mm(best.most_residual_m) + ")";
    if (fits(best)) {
      text += ", but of what stands beside the log only " + percent(*best.beside_share) + " is the same";
    }
  }
  return text +
         ". Are they of the same log, lying in the same place, and in the same unit? Leave one out, or scan "
         "the "
         "log again in one walk.";
}

/// Why the best of these fits will not do; ok if it will.
Status verdict(const std::vector<Fit>& found, std::string& why) {
  if (found.empty() || !fits(found.front()) || !shows_same_place(found.front())) {
    why = why_unlike(found);
    return Status::do_not_fit;
  }
  const Fit& best = found.front();
  if (!holds(best) ||
      std::any_of(found.begin() + 1, found.end(), [&](const Fit& other) { return as_good(other, best); })) {
    why =
        " fits the others in more than one way: it could slide along the log or turn about it. Scan again, "
        "with "
        "both ends of the log and the ground beside it in every scan.";
    return Status::ambiguous;
  }
  if (!is_straight(best)) {
    why =
        " shares too little of the log with the others: from scans as rough as these, the log could "
        "come out bent by " +
        in_mm(best.bend_m) + " (allowed: " + in_mm(kMostBendM) +
        "). Scan again with more of the log in both.";
    return Status::ambiguous;
  }
  if (std::abs(best.scale - 1) > kMostScaleOff) {
    std::ostringstream text;
    text << " has another scale than the others: it would have to be " << best.scale
         << " times as large to fit. Export both at the same scale, or plan from one of them.";
    why = text.str();
    return Status::scales_differ;
  }
  return Status::ok;
}

/// Whether a pose hardly changes what lies within an arm's length or two of the views' middles.
bool moves_little(const Fit& from, const Fit& to) {
  const Eigen::Isometry3d moved = from.onto_from_from.inverse() * to.onto_from_from;
  return moved.translation().norm() < kStaysM &&
         Eigen::AngleAxisd(moved.linear()).angle() * kArmsLengthsM < kStaysM;
}

/// Lays one scan onto what is joined so far.
Status lay(const Cloud& joined, const Cloud& cloud, const MergeOptions& options, Alignment& alignment,
           std::string& why) {
  const double scale = options.metres_per_unit;
  const double ratio = size_of(cloud) / size_of(joined);
  if (!(ratio < kMostSizeRatio && ratio > 1 / kMostSizeRatio)) {
    std::ostringstream text;
    text << " is " << ratio
         << " times as large as the others. Are all files in the same unit? Export them with one unit.";
    why = text.str();
    return Status::scales_differ;
  }
  const AlignView onto = align_view(in_metres(joined, scale), options.up);
  const AlignView from = align_view(in_metres(cloud, scale), options.up);
  const Aligner aligner(onto, from);
  Fit fit = aligner.as_given();
  alignment.as_given = is_close(fit) && (!holds(fit) || moves_little(fit, aligner.refined(fit)));
  if (!alignment.as_given) {
    const std::vector<Fit> found = aligner.search();
    const Status status = verdict(found, why);
    if (status != Status::ok) {
      return status;
    }
    fit = found.front();
    alignment.first_from_this =
        times(onto.view_from_file.inverse() * fit.onto_from_from * from.view_from_file, 1 / scale);
  }
  alignment.overlap_share = fit.overlap_share;
  alignment.fit_share = fit.fit_share;
  alignment.residual_m = fit.residual_m;
  return Status::ok;
}

}  // namespace

MergeResult merge(const std::vector<Cloud>& in_files, const MergeOptions& options) {
  require(!in_files.empty(), "there is no scan to merge");
  require(std::none_of(in_files.begin(), in_files.end(), [](const Cloud& c) { return c.empty(); }),
          "a scan to merge holds no points");
  require(options.metres_per_unit > 0, "the scale must be a positive number of metres a file unit");
  require(options.names.empty() || options.names.size() == in_files.size(),
          "there must be one name for each scan to merge");
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
      std::string why;
      result.status = lay(result.cloud, in_files[*it], options, result.alignments[*it], why);
      if (result.status != Status::ok) {
        result.message = "Of the scans given, " + name_of(*it, options) + why;
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
  result.message.clear();
  return result;
}

}  // namespace flitchwise::scan
