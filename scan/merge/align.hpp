#pragma once
/// Lays one scan of a log onto another.

#include <vector>

#include "scan/merge/overlay.hpp"

namespace flitchwise::scan {

/// Two views, which must outlive it, to be laid onto each other.
class Aligner {
 public:
  Aligner(const AlignView& onto, const AlignView& from);
  /// The pose of one frame that both files share, judged as it is.
  Placement as_given() const;
  /// The best poses, best first, all of them different; empty if there is none to judge.
  std::vector<Placement> search() const;
  /// Laid on as closely as the scans allow.
  Placement refined(const Placement& placement) const;

 private:
  std::vector<Placement> settled(const std::vector<Placement>& found) const;
  const AlignView& onto_;
  const AlignView& from_;
  OverlayJudge judge_;
  SurfacePoints sample_;        ///< to find the pose
  SurfacePoints large_sample_;  ///< to settle and to judge it
};

}  // namespace flitchwise::scan
