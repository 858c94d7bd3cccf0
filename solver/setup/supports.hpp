#pragma once
/// Where the rail's screws stand on the bark and what each one needs.

#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "solver/setup/bench.hpp"
#include "solver/setup/kit.hpp"
#include "solver/setup/setup.hpp"

namespace flitchwise::solver {

/// One screw before the rail's height is known.
struct ScrewSite {
  double y_m = 0;
  std::optional<BenchLog::Height> bark;  ///< above the opening plane; empty: no log under it
  double wood_m = 0;      ///< least bark and wood above the cut under the screw's whole width; 0: none
  bool has_wood = false;  ///< enough of it for the screw's bite and its distance to the cut
};

struct SupportSite {
  int rail_position = 0;
  int support = 0;
  double x_m = 0;
  bool on_log = false;  ///< within the length over which every section is whole
  ScrewSite left;
  ScrewSite right;
};

/// The highest bark that may be under the rail's footprint at one section: two sigma further out than found.
struct FootprintPeak {
  double x_m = 0;
  double y_m = 0;
  double height_m = 0;  ///< above the opening plane
};

/// Bark and wood that the screws of a support need above the cut plane: the deeper of the levelling and the
/// wood screw, and the kit's distance to the cut.
double needed_wood_m(const Kit& kit);

std::vector<SupportSite> support_sites(const BenchLog& log, const LevelPlane& plane, const Kit& kit,
                                       const std::vector<RailPosition>& positions, double rail_y_m);

/// By ascending x, where the footprint meets the log, and the tops of knots and stubs. Under a support that
/// stands out below the rail the peak is higher by the support's thickness.
std::vector<FootprintPeak> footprint_peaks(const BenchLog& log, const LevelPlane& plane, const Kit& kit,
                                           const std::vector<SupportSite>& sites, double rail_y_m);

/// A screw at y. `bark_at` gives the height of the bark at its axis and at its left and right edge, if there
/// is any.
using BarkAt = std::function<std::optional<BenchLog::Height>(double y_m)>;
ScrewSite screw_site(double y_m, const Kit& kit, const BarkAt& bark_at);

/// The supports of all rail positions, on the log between two x. `screw_at` makes a screw of a support so far
/// to the left of the rail's middle line. `cosine`: of the rail's slope.
using ScrewAt = std::function<ScrewSite(const SupportSite& site, double left_m)>;
std::vector<SupportSite> sites_along(const Kit& kit, const std::vector<RailPosition>& positions,
                                     double cosine, std::pair<double, double> ends_x_m,
                                     const ScrewAt& screw_at);

/// What the screw needs with the rail's underside this high above the opening plane.
ScrewPoint screw_at(const ScrewSite& site, double rail_height_m, const Kit& kit);

std::vector<Support> supports_at(const std::vector<SupportSite>& sites, double rail_height_m, const Kit& kit);

/// Screws on the log that end nearer to the cut plane than the kit's limit.
std::vector<ScrewFault> screw_faults_at(const std::vector<SupportSite>& sites, const Kit& kit);

/// One a stretch of bark that comes too near, or of several close together: its highest place.
std::vector<HighSpot> high_spots_at(const std::vector<FootprintPeak>& peaks, double rail_height_m,
                                    const Kit& kit);

/// Places to stand at and work on along a stretch of bark that is too high.
int places_of(const HighSpot& spot);

/// The height of the rail's underside above the opening plane, within [least, most]: the lowest one at which
/// every screw is ok and the rail is clear; else the one with the least work on blocks and bark. Each place
/// to work on counts as 20 mm besides its amount.
struct RailHeight {
  double height_m = 0;
  double work_m = 0;  ///< 0: nothing to do
};
double rail_work_m(const std::vector<SupportSite>& sites, const std::vector<FootprintPeak>& peaks,
                   const Kit& kit, double rail_height_m);
RailHeight choose_rail_height(const std::vector<SupportSite>& sites, const std::vector<FootprintPeak>& peaks,
                              const Kit& kit, double least_m, double most_m);

}  // namespace flitchwise::solver
