#pragma once
/// How the rail lies for one choice of the opening plane, and which plane to open with.

#include <utility>
#include <vector>

#include "solver/setup/supports.hpp"

namespace flitchwise::solver {

/// Everything about the rail for one opening plane.
struct RailSetup {
  std::size_t plane = 0;  ///< index in SawPlan::planes
  double above_m = 0;     ///< the opening cut lies this much above that plane; 0: it makes it
  LevelPlane level;       ///< of the opening cut
  double rail_y_m = 0;
  double cut_width_m = 0;  ///< widest place of the opening cut
  std::vector<RailPosition> positions;
  std::vector<SupportSite> sites;
  std::vector<FootprintPeak> peaks;
  RailHeight height;
  int screws_on_log = 0;        ///< screws over the log's usable length
  int screws_without_wood = 0;  ///< of those: less than the kit's bite and distance above the cut
  double least_wood_m = 0;      ///< under any screw on the log, above the cut; 0 where there is no bark
  bool depth_in_range = false;  ///< the saw's depth range leaves a height for the rail above the cut
  bool width_in_range = false;  ///< the bar spans the cut

  bool works() const { return screws_without_wood == 0 && depth_in_range && width_in_range; }
};

/// `normal_depth_m`: saw depth of a cut that rides on a sawn face, for a kit that sets the opening cut by it.
RailSetup rail_setup(const BenchLog& log, const LevelPlane& level, std::size_t plane, const Kit& kit,
                     double normal_depth_m);

/// The topmost plane that works. Where none does, or only with much bark cut away: an extra cut above the
/// topmost, from whose flat that plane is sawn, if this works better. Else the best compromise.
struct OpeningChoice {
  RailSetup rail;
  OpeningReason reason;
};
OpeningChoice choose_opening(const BenchLog& log, const std::vector<LevelPlane>& planes, const Kit& kit,
                             double kerf_m, double normal_depth_m);

/// The plane this much above another.
LevelPlane raised(LevelPlane plane, double up_m);

/// What a level cut rides on, and how deep the saw must be set for it.
struct Ride {
  RestsOn rests_on = RestsOn::supports;
  double saw_depth_m = 0;
};

/// The saw on a sawn face, to cut at this depth under it. Where that is less than the saw can be set to, the
/// rail goes between as a spacer.
Ride ride_on_face(const Kit& kit, double depth_m);

/// Of the rail's underside above the plane, by the saw: its depth is this and the rail's own height. A
/// bracket lies wholly above the kerf, so that the bar passes under it at the ends.
std::pair<double, double> rail_height_range(const Kit& kit, double normal_depth_m);

/// Widest place of a level cut over bark; 0 where the plane misses the log.
double widest_cut_m(const BenchLog& log, const LevelPlane& plane);

/// Area of a level cut over bark.
double cut_area_m2(const BenchLog& log, const LevelPlane& plane);

/// Stretches of the rail from one end of the log to the other: as few as the least overlap allows, with equal
/// overlaps; a rail longer than the log stands over by the same length at both ends.
std::vector<RailPosition> rail_positions(const Kit& kit, double cosine, double from_x_m, double to_x_m);

/// Largest distance between two neighbouring supports that bear, along the rail.
double longest_rail_span_m(const std::vector<Support>& supports, double cosine);

/// One of its two screws finds bearing.
bool bears(const Support& support);

}  // namespace flitchwise::solver
