#pragma once
/// The log as it lies after it was rolled, and cut planes on it. Bench frame throughout, metres.

#include <Eigen/Core>
#include <optional>
#include <utility>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// The turn from the log frame to the bench frame: by roll about +x.
Eigen::Matrix3d bench_from_log(double roll_rad);

/// Bark outline across x.
struct BenchSection {
  double x_m = 0;
  Eigen::MatrixX2d bark_m;  ///< corners (y, z), counter-clockwise seen from the large end
  std::vector<char> seen;   ///< one a corner
};

/// A place on the bark.
struct BarkPoint {
  double y_m = 0;
  double z_m = 0;
  bool seen = false;
};

/// The highest bark over y; empty where the section does not reach.
std::optional<BarkPoint> top_at(const BenchSection& section, double y_m);
/// The lowest bark over y; empty where the section does not reach.
std::optional<BarkPoint> bottom_at(const BenchSection& section, double y_m);
/// The highest bark over [from, to]; empty where the section does not reach it.
std::optional<BarkPoint> highest_between(const BenchSection& section, double from_y_m, double to_y_m);
/// Least and largest y of the section at height z; empty where it does not reach.
std::optional<std::pair<double, double>> chord_at(const BenchSection& section, double z_m);

/// A cut plane, level across.
struct LevelPlane {
  double x_m = 0;  ///< a point of the plane
  double z_m = 0;
  double slope = 0;   ///< dz/dx
  double cosine = 1;  ///< of the slope's angle

  double height_at(double x_m) const;             ///< z of the plane
  double distance(double x_m, double z_m) const;  ///< of a point from the plane, positive above it
  Eigen::Vector3d normal() const;                 ///< up
};
/// Throws BadUse if the plane is not level across in the bench frame.
LevelPlane level_plane(const CutPlane& plane, double roll_rad);
/// All planes of a plan.
std::vector<LevelPlane> level_planes(const SawPlan& plan);

/// All points with normal . p <= offset.
struct HalfSpace {
  Eigen::Vector3d normal;
  double offset = 0;
};

class BenchLog {
 public:
  /// Throws BadUse if the model breaks its invariants.
  BenchLog(const LogModel& log, double roll_rad);

  const std::vector<BenchSection>& sections() const { return sections_; }
  /// The same sections with the bark as far out as it may lie: by two sigma.
  const std::vector<BenchSection>& outermost_sections() const { return outermost_; }
  double usable_length_m() const { return sections_.back().x_m; }
  /// Linear between the stations, the end stations outside.
  BenchSection section_at(double x_m) const;
  BenchSection outermost_at(double x_m) const;
  /// How far the wood reaches along x, the slanting ends included.
  std::pair<double, double> extent_x_m() const;
  /// x where a line along the log at (y, z) leaves it at that end.
  double end_x_m(bool large_end, double y_m, double z_m) const;
  /// Pith at x, (y, z).
  Eigen::Vector2d pith_at(double x_m) const;
  /// Bark over (x, y) of the plane: its height above the plane along the plane's normal; empty where there is
  /// no bark.
  struct Height {
    double height_m = 0;
    bool seen = false;
  };
  std::optional<Height> bark_above(const LevelPlane& plane, double x_m, double y_m) const;
  /// The tops of knots and stubs, as far out as they may stand (by two sigma of the bark there), however
  /// narrow. x, y, z and width. Of a stub, which is as thick at its top as at its foot, also both flanks:
  /// one that leans away from the rail reaches under it with its edge, and higher, or with its flank alone.
  struct KnotTop {
    Eigen::Vector3d point_m;
    double extent_m = 0;
  };
  std::vector<KnotTop> knot_tops() const;
  /// Volume over bark of what lies in all half-spaces, between two x within the usable length.
  double volume_m3(const std::vector<HalfSpace>& spaces, double from_x_m, double to_x_m) const;

 private:
  const LogModel* log_;
  double roll_rad_;
  std::vector<BenchSection> sections_;
  std::vector<BenchSection> outermost_;
};

/// The part between two level planes: `lower` may be absent.
HalfSpace below(const LevelPlane& plane, double shift_m = 0);
HalfSpace above(const LevelPlane& plane, double shift_m = 0);

}  // namespace flitchwise::solver
