#pragma once
/// Cross-sections of the planning solid, prepared for the search: outlines, their turn by a roll, and the
/// lateral room that a layer has in them. Lengths in metres, angles in radians.

#include <Eigen/Core>
#include <cmath>
#include <vector>

#include "scan/model/log_model.hpp"

namespace flitchwise::solver {

/// Lateral interval (y in the bench frame); empty when high < low.
struct Interval {
  double low = 0;
  double high = -1;
  double width() const { return high - low; }
};

/// The corner that a board may lack at a long edge: a triangle with these legs.
struct Chamfer {
  double across_m = 0;
  double up_m = 0;
};

/// The planning outline at one x: a polygon that is star-shaped about its own centre, angles ascending.
struct Section {
  double x_m = 0;
  Eigen::Vector2d centre_m = Eigen::Vector2d::Zero();  ///< y, z in the log frame
  Eigen::ArrayXd radius_m;                             ///< at even angles around the centre
  Eigen::ArrayXd y_m;                                  ///< the polygon's corners, log frame
  Eigen::ArrayXd z_m;
};

/// The log as the search sees it.
struct Solid {
  std::vector<Section> stations;                       ///< x ascending from 0
  double usable_m = 0;                                 ///< x of the last station
  double pivot_x_m = 0;                                ///< middle of the usable length
  Eigen::Vector2d middle_m = Eigen::Vector2d::Zero();  ///< mean of the stations' centres
  double reach_m = 0;          ///< largest distance of an outline point from the log frame's x axis
  double largest_width_m = 0;  ///< no section is wider than this in any direction

  /// Height of `middle_m` after a roll.
  double bench_middle_m(double roll_rad) const {
    return middle_m.x() * std::sin(roll_rad) + middle_m.y() * std::cos(roll_rad);
  }
};

/// Requires: log.find_error() is empty.
Solid solid_of(const LogModel& log, double sigmas);

/// Linear between the neighbouring stations, corner by corner.
Section section_at(const Solid& solid, double x_m);

/// An outline turned by a roll about the log frame's x axis.
class RolledSection {
 public:
  RolledSection() = default;
  RolledSection(const Section& section, double roll_rad);

  /// Largest lateral interval that is free over the whole layer z_low..z_high (bench frame); empty when the
  /// layer reaches beyond the outline. Exact for outlines that every level line cuts once; for others it is
  /// never too wide.
  Interval free_over(double z_low_m, double z_high_m) const { return free_over(z_low_m, z_high_m, {}); }
  /// The same where the layer's four corners may be missing: the interval's ends are those of the whole
  /// section, its corners off.
  Interval free_over(double z_low_m, double z_high_m, const Chamfer& chamfer) const;

 private:
  /// A layer and how much it draws back from its full width at a height.
  struct Band {
    double low_m = 0;
    double high_m = 0;
    Chamfer chamfer;
    double drawn_back_m(double z_m) const;
  };
  /// Corners of one flank, z ascending. Valid only while `flanks_rise_`.
  struct Flank {
    std::vector<double> y_m;
    std::vector<double> z_m;
    template <typename Pick>
    double extreme(const Band& band, double outwards, Pick pick) const;
  };
  Interval free_over_any(const Band& band) const;

  Eigen::ArrayXd y_m_;
  Eigen::ArrayXd z_m_;
  double bottom_m_ = 0;
  double top_m_ = 0;
  bool flanks_rise_ = false;  ///< both flanks rise from the lowest to the highest corner without a dip
  Flank left_;                ///< at high y
  Flank right_;               ///< at low y
};

}  // namespace flitchwise::solver
