#pragma once
/// Seeds and tracks: short stretches of round wood, and the walk along a log from one of them.

#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/pcl/pcl_adapter.hpp"

namespace flitchwise::scan {

/// What stands off the ground, thinned, with normals; in the scan frame less an origin.
struct Scene {
  Points points;
  Points normals;
};

/// A short stretch that looks like a level round log.
struct Seed {
  Eigen::Vector3d centre_m = Eigen::Vector3d::Zero();
  Eigen::Vector3d axis = Eigen::Vector3d::UnitX();
  double radius_m = 0;
  double rank = 0;  ///< supporting points times the share of the circle that they cover
};

/// Seeds, best first.
std::vector<Seed> find_seeds(const Scene& scene, const NeighbourSearch& search,
                             const IsolateOptions& options);

/// Walks from a seed both ways until the log ends. Empty if it is no log.
std::vector<TrackPoint> walk(const Seed& seed, const Scene& scene, const NeighbourSearch& search);

/// Length along a track.
double length_m(const std::vector<TrackPoint>& track);
/// How much a track looks like the log that the scan was made for: long, thick, and above all seen from all
/// sides (a circle that leans on two neighbours has little of its own).
double rank(const std::vector<TrackPoint>& track);

/// A track with its chord as axis: gives any point its place along the chord and across the track.
class TrackFrame {
 public:
  explicit TrackFrame(const std::vector<TrackPoint>& track);
  struct Place {
    double along_m = 0;  ///< from the first track point, along the chord
    Eigen::Vector3d across_m =
        Eigen::Vector3d::Zero();  ///< square to the chord, from the track's centre there
    double radius_m = 0;          ///< of the track there
  };
  Place place_of(const Eigen::Vector3d& point_m) const;
  Eigen::Vector3d centre_at(double along_m) const;  ///< beyond the ends in the direction of the last stretch
  double radius_at(double along_m) const;
  const Eigen::Vector3d& axis() const { return axis_; }
  double chord_m() const { return along_.back(); }

 private:
  std::size_t segment(double along_m) const;
  std::vector<TrackPoint> track_;
  std::vector<double> along_;
  Eigen::Vector3d axis_;
};

}  // namespace flitchwise::scan
