#pragma once
/// Several scans of one log into one cloud.

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "scan/model/scan_facts.hpp"
#include "scan/read/cloud.hpp"

namespace flitchwise::scan {

struct MergeOptions {
  /// Metres a unit of every file, roughly: the search for the alignment has lengths in metres. > 0
  double metres_per_unit = 1;
  /// Which axis of the files points up, where the person or the files say so; else found in each.
  std::optional<Eigen::Vector3d> up;
};

/// How one scan was laid onto those before it.
struct Alignment {
  Eigen::Isometry3d first_from_this = Eigen::Isometry3d::Identity();  ///< in file units
  bool as_given = false;                                              ///< the files already had one frame
  double overlap_share = 0;  ///< of the log, seen by both (of the scan that has less of it)
  double same_share = 0;     ///< of that, what lies on the same surface
  double residual_m = 0;     ///< typical distance between the two surfaces there
};

struct MergeResult {
  enum class Status { ok, do_not_fit, ambiguous, scales_differ };
  Status status = Status::do_not_fit;
  std::optional<ScanFact> message;    ///< unless ok
  Cloud cloud;                        ///< in the first scan's frame and unit
  std::vector<Alignment> alignments;  ///< one a scan, in their order
};

/// Lays the scans onto each other and joins them. Where they already fit in the frames of their files, those
/// are kept; else the alignment is searched. Scans that share too little, that do not lie on the same
/// surface, beside which other things stand, or that could lie in more than one way (a log without ends
/// slides along itself) or bent (rough scans that share little) are refused. The same clouds give
/// the same result. Throws BadUse if there is no cloud, a cloud is empty or the unit is not positive.
MergeResult merge(const std::vector<Cloud>& in_files, const MergeOptions& options = {});

}  // namespace flitchwise::scan
