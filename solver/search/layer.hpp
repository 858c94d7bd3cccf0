#pragma once
/// One layer of the stack: its straight strips, window by window. Exact: see SEARCH.md, steps 2 and 3.

#include <array>
#include <cstddef>
#include <limits>
#include <vector>

#include "solver/search/job.hpp"

namespace flitchwise::solver {

/// All sections of a job at one roll, turned when first asked for. Not for use by several threads at once.
class RolledLog {
 public:
  RolledLog(const Job& job, double roll_rad);
  const RolledSection& section(std::size_t i);
  const Job& job() const { return *job_; }
  double roll_rad() const { return roll_rad_; }
  /// Of the pith in the bench frame: y and z at x, and their rise along x.
  Eigen::Vector2d pith_m(double x_m) const { return pith_m_ + x_m * pith_rise_; }
  const Eigen::Vector2d& pith_rise() const { return pith_rise_; }

 private:
  const Job* job_;
  double roll_rad_;
  Eigen::Vector2d pith_m_;
  Eigen::Vector2d pith_rise_;
  std::vector<RolledSection> sections_;
  std::vector<char> turned_;
};

/// The level layer between two heights at the pivot, tilted by `pitch`.
struct Slab {
  double low_m = 0;  ///< bench-frame z at the pivot
  double high_m = 0;
  double pitch = 0;
};

/// Boards side by side in one window of one layer: one group, or two with the pith between them.
struct Group {
  const Edging* edging = nullptr;
  double middle_y_m = 0;  ///< bench frame, at the middle of the place
};
struct Strip {
  Worth worth = 0;        ///< 0: no boards
  std::size_t place = 0;  ///< index in Job::places
  double yaw = 0;
  double middle_y_m = 0;        ///< of the first group
  double spare_m = -1;          ///< lateral room beyond what the boards need; negative: they do not fit
  std::array<Group, 2> groups;  ///< from the left; those without edging are not there
};

/// The free lateral intervals along one place, as the exact yaw search takes them.
struct FreeRun {
  std::vector<double> x_m;  ///< from the middle of the place
  std::vector<double> low_m;
  std::vector<double> high_m;
};

/// What a strip of given width must keep to.
struct StripNeed {
  double width_m = 0;  ///< across the strip
  double shear = 0;    ///< lateral room lost for each unit of yaw: the faces of a pitched, yawed board lean
  double cos2_pitch = 1;      ///< squared cosine of the pitch angle
  double most_yaw = 0;        ///< |yaw| stays below; negative: no yaw will do
  double grain_yaw_low = -1;  ///< yaw stays between these, too
  double grain_yaw_high = 1;
};

/// The yaw that leaves most room for a strip: maximises the concave
///   min(high - x yaw) - max(low - x yaw) - shear |yaw| - width sqrt(1 + cos2_pitch yaw^2)
/// by cutting planes; exact to a tenth of a micrometre. Only yaw, middle_y_m and spare_m are set.
Strip best_strip(const FreeRun& run, const StripNeed& need);

/// One layer of a turned log.
class Layer {
 public:
  /// `grown_m`: every board must fit when it is this much larger on all sides (negative: smaller).
  Layer(RolledLog& log, const Slab& slab, const LayerKind& kind, double grown_m);

  /// The boards worth most at one place.
  Strip strip_at(std::size_t place);
  /// Those of the best layout, each window at its best place (in order along the log); ties to the roomier.
  std::vector<Strip> best_strips();
  /// Width of the widest single strip of one place; negative where the layer leaves the wood.
  double widest_at(std::size_t place);
  /// Free lateral interval at a section of the job.
  const Interval& free_at(std::size_t section, std::size_t chamfer = 0);
  /// Half the width of the zone around the pith in the layer at x; negative where it is not in the layer.
  double pith_half_m(double x_m) const;

 private:
  /// Which side of the pith a group lies on; whole: the pith is not looked at.
  enum class Side { whole, left, right };
  struct Cut {
    Side side = Side::whole;
    bool any_width = false;    ///< also where no board of the layer's kind has room
    double least_half_m = -1;  ///< kept from the pith line at least, even where its zone is not in the layer
  };
  /// A group that fits at a place.
  struct Placed {
    const Edging* edging;
    Strip strip;
  };
  bool run_of(const Place& place, std::size_t chamfer, const Cut& cut, FreeRun& run);
  StripNeed need_of(const Place& place, double width_m, double widest_m) const;
  std::vector<Placed> fits_at(std::size_t place, const Cut& cut, bool all);
  Strip parted(std::size_t place);
  Strip pair_at(std::size_t place, const Placed& left, const Placed& right);
  bool pith_in(const Place& place) const;
  bool grain_allows() const;
  const Job& job() const { return log_->job(); }

  RolledLog* log_;
  Slab slab_;
  const LayerKind* kind_;
  double grown_m_;
  bool grain_allows_;
  std::vector<std::vector<Interval>> free_;  ///< [chamfer][section]; empty until asked for
  std::vector<std::vector<char>> known_;
};

}  // namespace flitchwise::solver
