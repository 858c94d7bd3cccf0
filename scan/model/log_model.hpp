#pragma once
/// The log as the solver and the setup see it: the one header in which scan/ and solver/ meet.
///
/// Frames (right-handed, metres and radians):
///   scan frame   as in the file, after scale and up axis are settled; z up
///   log frame    origin on the chord of the centreline at the small end's innermost full section; x along
///                the chord to the large end; z as near to up as square to x allows; y = z cross x, so y
///                points left for one who looks from the small end to the large end
///   bench frame  the log frame turned by the roll about +x; positive roll is clockwise as seen from the
///                small end looking along the log. Every cut plane is level across in it.
/// The angle of a point of a section is theta = atan2(z, y): 0 is left, pi/2 is up.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/sources.hpp"

namespace flitchwise {

/// Where the log frame lies in the scan frame.
struct LogFrame {
  Eigen::Vector3d origin_in_scan_m = Eigen::Vector3d::Zero();
  Eigen::Matrix3d scan_from_log =
      Eigen::Matrix3d::Identity();  ///< columns: the log's x, y, z in the scan frame

  Eigen::Vector3d to_scan(const Eigen::Vector3d& in_log_m) const;
  Eigen::Vector3d to_log(const Eigen::Vector3d& in_scan_m) const;
};
FLITCHWISE_FIELDS(LogFrame, origin_in_scan_m, scan_from_log)

/// One cross-section across the log's x axis. All arrays have the same length N (LogModel::angle_count());
/// entry k belongs to the direction theta_k = 2 pi k / N from `centre_m`.
struct Station {
  double x_m = 0;
  Eigen::Vector2d centre_m = Eigen::Vector2d::Zero();  ///< the centreline here: y and z in the log frame
  Eigen::VectorXd bark_radius_m;                       ///< to the bark surface, with its local bumps
  Eigen::VectorXd wood_radius_m;  ///< to the wood surface (under bark), without the bumps of the bark
  Eigen::VectorXd bark_sigma_m;   ///< 1-sigma uncertainty of bark_radius_m
  Eigen::VectorXd wood_sigma_m;   ///< 1-sigma uncertainty of wood_radius_m, the bark thickness included
  std::vector<char> seen;         ///< 1 where the scan saw the surface
};
FLITCHWISE_FIELDS(Station, x_m, centre_m, bark_radius_m, wood_radius_m, bark_sigma_m, wood_sigma_m, seen)

/// A saw cut across the log. Ends are rarely square to the axis.
struct EndPlane {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();  ///< where the centreline meets the end, log frame
  Eigen::Vector3d normal = Eigen::Vector3d::UnitX();  ///< unit, pointing out of the log
  bool seen = false;                                  ///< false: the log was cut off by the scan's border
};
FLITCHWISE_FIELDS(EndPlane, point_m, normal, seen)

/// The biological centre at both ends, where the rings close.
struct Pith {
  enum class Source { assumed_middle, given = 3 };        ///< numbers as in the stores of yards
  Eigen::Vector2d small_end_m = Eigen::Vector2d::Zero();  ///< y and z in the log frame at the small end
  Eigen::Vector2d large_end_m = Eigen::Vector2d::Zero();  ///< the same at the large end
  Source source = Source::assumed_middle;
};
FLITCHWISE_FIELDS(Pith, small_end_m, large_end_m, source)

/// A knot or stub that stands out of the surface.
struct Knot {
  double x_m = 0;
  double theta_rad = 0;
  double height_m = 0;  ///< above the smooth bark surface
  double extent_m = 0;  ///< diameter of its foot
};
FLITCHWISE_FIELDS(Knot, x_m, theta_rad, height_m, extent_m)

struct LogModel {
  LogFrame frame;
  std::vector<Station>
      stations;  ///< x ascending from 0 (small end's innermost full section), about every 25 mm
  EndPlane small_end;
  EndPlane large_end;
  Pith pith;
  std::vector<Knot> knots;
  double bark_m = 0;        ///< mean bark thickness
  double bark_sigma_m = 0;  ///< 1-sigma uncertainty of the bark thickness
  BarkSource bark_source;
  double residual_m = 0;     ///< robust standard deviation of the scan's points around the bark surface
  double length_m = 0;       ///< between the two end planes along the chord
  double density_kg_m3 = 0;  ///< green, for weights
  DensitySource density_source;

  int angle_count() const;
  /// x of the last station: the length over which every section is whole. Boards come from [0,
  /// usable_length_m()].
  double usable_length_m() const;
  /// Mean diameter over bark at station i.
  double bark_diameter_m(std::size_t i) const;
  double small_end_diameter_m() const;
  double large_end_diameter_m() const;
  /// Largest distance of the centreline from the straight line between its ends.
  double sweep_m() const;
  /// Volume over bark between the first and the last station, by integration of the sections.
  double volume_m3() const;
  /// Share of all samples that the scan saw, 0 to 1.
  double seen_share() const;
  /// Pith at x (linear between the two ends), y and z in the log frame.
  Eigen::Vector2d pith_at(double x_m) const;

  /// Empty if the invariants hold; else one sentence that names the first one broken: at least two stations,
  /// x ascending from 0, equal N >= 8, finite positive radii, wood inside bark, sigmas not negative.
  std::string find_error() const;
};
FLITCHWISE_FIELDS(LogModel, frame, stations, small_end, large_end, pith, knots, bark_m, bark_sigma_m,
                  bark_source, residual_m, length_m, density_kg_m3, density_source)

/// Throws BadUse with what find_error says, if it says something.
void check(const LogModel& log);

/// Outline of the wood that a plan may count on at a station: N x 2 points (y, z) in the log frame, at the
/// wood radius less `sigmas` times its uncertainty (never below a tenth of the wood radius).
Eigen::MatrixX2d planning_outline_m(const Station& station, double sigmas);
/// Outline of the bark surface at a station: N x 2 points (y, z) in the log frame.
Eigen::MatrixX2d bark_outline_m(const Station& station);
/// Section at any x in [0, usable length], linear between the neighbouring stations (clamped outside).
Station station_at(const LogModel& log, double x_m);

}  // namespace flitchwise
