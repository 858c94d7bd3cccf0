#pragma once
/// Where the invented log lies and what lies round it. Scan frame: metres, z up.

#include <Eigen/Core>
#include <cstdint>
#include <optional>
#include <vector>

#include "tools/simulate/log_shape.hpp"
#include "tools/simulate/random.hpp"
#include "tools/simulate/solids.hpp"

namespace flitchwise::simulate {

/// A block that the log rests on, square to the log.
struct Bearer {
  double place = 0.2;      ///< share of the log's length from the small end; [0, 1]
  double height_m = 0.15;  ///< top above the ground; [0.02, 1]
  double width_m = 0.15;   ///< along the log; a round one is as wide as it is high; [0.02, 1]
  double length_m = 0.8;   ///< across the log; [0.1, 3]
  bool round = false;
};

/// A log beside the scanned one, on the ground, nearly parallel to it.
struct Neighbour {
  double side = 1;     ///< +1 left, -1 right
  double gap_m = 0.2;  ///< between the two logs' surfaces; [0, 5]
  double diameter_m = 0.3;
  double length_m = 3;
  double shift_m = 0;   ///< along the scanned log, of its middle
  double turn_rad = 0;  ///< against the scanned log's direction
};

struct Stump {
  Eigen::Vector2d place_m =
      Eigen::Vector2d(-1, 0.8);  ///< of its middle, from the small end, along and across
  double diameter_m = 0.35;
  double height_m = 0.3;
};

/// The log's small end splits in two stems in place of a sawn face.
struct Fork {
  double theta_rad = 0;       ///< plane in which the stems part, as the side of the first
  double spread_rad = 0.5;    ///< between the two stems' directions; [0.05, 1.4]
  double radius_share = 0.7;  ///< of the log's radius; [0.1, 1]
  double length_m = 1;        ///< (0, 10]
};

struct Scene {
  Eigen::Vector3d position_m = Eigen::Vector3d::Zero();  ///< of the ground under the log's middle
  double yaw_rad = 0;                                    ///< direction of the log, from x towards y
  bool ground = true;  ///< false: nothing but the log (and any neighbours) is scanned
  Eigen::Vector2d slope =
      Eigen::Vector2d::Zero();   ///< rise of the ground along x and y, metres a metre; |.| <= 0.37 each
  double unevenness_m = 0;       ///< standard deviation of the ground's bumps; [0, 0.1]
  double ground_margin_m = 0.8;  ///< how far ground is scanned round the log; [0, 5]
  double grass_m = 0;            ///< height of the tallest blades; [0, 0.5]
  std::vector<Bearer> bearers = {
      {0.2, 0.15, 0.15, 0.8, false},
      {0.8, 0.15, 0.15, 0.8, false}};  ///< two or more; the log rests on the first and the last
  std::vector<Neighbour> neighbours;
  std::optional<Stump> stump;
  std::optional<Fork> fork;
  std::optional<std::uint64_t> clutter_seed;  ///< heavy clutter drawn from this seed; empty: none
  std::uint64_t detail_seed = 1;              ///< of the ground's bumps
};

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const Scene& scene);

/// Height of the ground above the scan frame's z = 0.
class Ground {
 public:
  explicit Ground(const Scene& scene);
  double height_m(double x_m, double y_m) const;
  Eigen::Vector3d normal(double x_m, double y_m) const;

 private:
  Eigen::Vector3d position_m_;
  Eigen::Vector2d slope_;
  RandomField bumps_;
};

/// The log where it lies: the exact surfaces, asked in the scan frame.
struct PosedLog {
  LogSurface surface;
  Eigen::Vector3d origin_in_scan_m = Eigen::Vector3d::Zero();
  Eigen::Matrix3d scan_from_shape = Eigen::Matrix3d::Identity();

  Eigen::Vector3d to_scan(const Eigen::Vector3d& in_shape_m) const;
  Eigen::Vector3d to_shape(const Eigen::Vector3d& in_scan_m) const;
  /// Radial distance from a point to the wood surface, positive inside; the distance to the nearer end cut
  /// where that is less.
  double wood_depth_m(const Eigen::Vector3d& in_scan_m) const;
  bool inside_wood(const Eigen::Vector3d& in_scan_m) const;
  /// Radial height of a point above the bark surface (negative inside), whatever the end cuts.
  double bark_height_m(const Eigen::Vector3d& in_scan_m) const;
  bool inside_bark(const Eigen::Vector3d& in_scan_m) const;
  /// Distance from a point along `direction` to the bark surface of the cut log: negative if the point is
  /// already inside (back along the direction to where it came in); none within 2 m.
  std::optional<double> bark_top_below(const Eigen::Vector3d& in_scan_m,
                                       const Eigen::Vector3d& direction) const;
};

/// A solid of the scene and what it is.
struct Thing {
  enum class Kind { bearer, neighbour, stump, clutter };
  Kind kind = Kind::bearer;
  Solid solid;
  double share = 1;    ///< of its points that the scan keeps: things in motion show in some pictures only
  bool blocks = true;  ///< whether it hides what is behind it
};

/// Everything in its place.
struct Site {
  Scene scene;
  Ground ground;
  PosedLog log;
  std::vector<Thing> things;

  /// The place so far from the middle of the log, along it and to its left. Scan frame.
  Eigen::Vector3d on_ground(double along_m, double across_m) const;
};

/// Lays the log on its bearers and sets the rest round it. Throws BadUse if shape or scene is out of range.
Site build_site(const LogShape& shape, const Scene& scene);

}  // namespace flitchwise::simulate
