#pragma once
/// How well two scans of a log lie on each other.

#include <optional>

#include "scan/merge/align_view.hpp"

namespace flitchwise::scan {

/// How well two scans lie on each other at a pose.
struct Placement {
  Eigen::Isometry3d onto_from_from = Eigen::Isometry3d::Identity();  ///< between the views
  double overlap_share =
      0;  ///< of the log's points in the scan with fewer: the other has a surface at their place
  double same_share = 0;       ///< of those, the surfaces are one
  double residual_m = 0;       ///< median distance between the surfaces where they are one
  double most_residual_m = 0;  ///< of two scans as rough as these on one log
  /// The same as `same_share` of what stands beside the log, where both show enough of it to tell.
  std::optional<double> beside_share;
  double misfit_m = 0;  ///< mean distance, of another surface as much as is allowed one; least is best
  /// One standard deviation of the pose at the log, from the noise; of poses that were laid on closely.
  std::optional<double> play_m;
  double bend_m = 0;  ///< how far the scans' drift may put ends and sides of the log off where they belong
  double scale = 1;   ///< by which the scan would have to grow to fit best
};

constexpr double kOtherSurface_m = 0.1;  ///< surfaces further apart are two things
constexpr float kSameDirection = 0.8F;   ///< cosine of 37 degrees: rough bark tilts normals

// What scans of one log have in common at their place.
constexpr double kLeastOverlap = 0.15;  // half scans of a log share a strip along its top and its ends
constexpr double kLeastSame = 0.96;     // at its own place a log fits to 0.98 and more, elsewhere to 0.93
constexpr double kLeastBeside = 0.5;  // of the things beside the log: at its own place 0.8 and more, else 0.4
constexpr double kMostBend_m = 0.015;
// Of a median: coarse phone scans of one surface have 5 mm. The scans' own roughness times this is what one
// log leaves (2.0 in photo-like scans, 2.6 in depth-like ones), two logs of a size have 3.1 and more.
constexpr double kMostResidual_m = 0.006;
constexpr double kMostOfRoughness = 3;
constexpr double kLeastMostResidual_m = 0.003;  // two smooth scans still drift

bool agree(const Placement& placement);  ///< they share enough and lie on the same surface
bool shows_same_place(
    const Placement& placement);         ///< what stands beside the log is the same, where both show some
bool holds(const Placement& placement);  ///< it cannot slide or turn
bool is_straight(const Placement& placement);  ///< they share enough of the log for their drift

/// The residual of a frame that both files share is that of the scan's noise.
bool is_close(const Placement& placement);

/// Judges poses of two views, which must outlive it.
class OverlayJudge {
 public:
  OverlayJudge(const AlignView& onto, const AlignView& from);
  /// From both sides: the smaller scan may lie wholly on the larger.
  Placement judged(const Eigen::Isometry3d& pose) const;
  /// With what the noise and the drift leave open, by these points of the second scan.
  Placement judged_closely(const SurfacePoints& sample, const Eigen::Isometry3d& pose) const;
  const RegistrationTarget& onto() const { return onto_target_; }

 private:
  const AlignView& onto_;
  const AlignView& from_;
  RegistrationTarget onto_target_;
  RegistrationTarget from_target_;
  double most_residual_m_;
};

}  // namespace flitchwise::scan
