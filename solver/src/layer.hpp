#pragma once
/// One layer of the stack: its straight strips, window by window. Exact: see SEARCH.md, steps 2 and 3.

#include <cstddef>
#include <vector>

#include "flitchwise/solver/plan.hpp"
#include "section.hpp"

namespace flitchwise::solver {

/// No board is turned further in its flitch's plane than this (dy/dx). A long board that needs more does not
/// lie in any log that a saw could follow; the bound counts on it, too.
constexpr double kMostYaw = 0.1;

/// Where one length window lies along the log.
struct Place {
  double low_x_m = 0;
  double high_x_m = 0;
  std::size_t first_station = 0;  ///< first and one past the last station inside
  std::size_t end_station = 0;
  std::size_t low_section = 0;  ///< the interpolated sections at both ends, index in Job::sections
  std::size_t high_section = 0;
};

/// What is asked, prepared once.
struct Job {
  Target target;
  SearchOptions options;
  Solid solid;
  std::size_t windows = 0;        ///< length windows end to end; 0: the log is too short
  double corner_room_m = 0;       ///< what a place is longer than a board, for the corners of turned boards
  std::vector<Section> sections;  ///< the stations, then the ends of all places
  std::vector<std::vector<Place>>
      places;  ///< [window][shift]: the further shift, the further from the small end
};

/// Throws BadUse if target or options are out of range or the model is broken.
Job make_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options);

/// All sections of a job at one roll, turned when first asked for. Not for use by several threads at once.
class RolledLog {
 public:
  RolledLog(const Job& job, double roll_rad);
  const RolledSection& section(std::size_t i);
  const Job& job() const { return *job_; }
  double roll_rad() const { return roll_rad_; }

 private:
  const Job* job_;
  double roll_rad_;
  std::vector<RolledSection> sections_;
  std::vector<char> turned_;
};

/// The level layer between two heights at the pivot, tilted by `pitch`.
struct Slab {
  double low_m = 0;  ///< bench-frame z at the pivot
  double high_m = 0;
  double pitch = 0;
};

/// A straight strip of boards side by side in one window of one layer.
struct Strip {
  int boards = 0;
  std::size_t shift = 0;  ///< index of its place
  double yaw = 0;
  double middle_y_m = 0;  ///< of the strip, bench frame, at the middle of its place
  double spare_m = -1;    ///< lateral room beyond what the boards need; negative: they do not fit
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
  double cos2_pitch = 1;  ///< squared cosine of the pitch angle
  double most_yaw = 0;    ///< |yaw| stays below
};

/// The yaw that leaves most room for a strip: maximises the concave
///   min(high - x yaw) - max(low - x yaw) - shear |yaw| - width sqrt(1 + cos2_pitch yaw^2)
/// by cutting planes; exact to a tenth of a micrometre. Only yaw, middle_y_m and spare_m are set.
Strip best_strip(const FreeRun& run, const StripNeed& need);

/// One layer of a turned log.
class Layer {
 public:
  /// `grown_m`: every board must fit when it is this much larger on all sides (negative: smaller).
  Layer(RolledLog& log, const Slab& slab, double grown_m);

  /// Most boards of one place.
  Strip strip_at(std::size_t window, std::size_t shift);
  /// Most boards of all windows, each at its best place (in order along the log); ties to the roomier.
  std::vector<Strip> best_strips();
  /// Width of the widest single strip of one place; negative where the layer leaves the wood.
  double widest_at(std::size_t window, std::size_t shift);
  /// Free lateral interval at a section of the job.
  const Interval& free_at(std::size_t section);

 private:
  bool run_of(const Place& place, double least_m, FreeRun& run);
  StripNeed need_of(double width_m) const;

  RolledLog* log_;
  Slab slab_;
  double grown_m_;
  std::vector<Interval> free_;
  std::vector<char> known_;
};

}  // namespace flitchwise::solver
