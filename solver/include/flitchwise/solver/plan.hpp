#pragma once
/// What the solver is asked and what it answers. Lengths in metres, angles in radians; geometry in the log
/// frame unless a name says otherwise.

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace flitchwise::solver {

/// A board that is wanted: rough (as sawn, green) size.
struct Target {
  std::string name;        ///< as the user wrote it, "50x150x3000"
  double thickness_m = 0;  ///< > 0
  double width_m = 0;      ///< > 0; across the flitch
  double length_m = 0;     ///< > 0
};

/// How the stack of cut planes lies. Planes are level across in the bench frame: at height z = height_m +
/// pitch * (x - pivot) there, pivot being the middle of the usable length, less whole multiples of the
/// spacing.
struct Orientation {
  double roll_rad = 0;  ///< turn of the log about +x before the cut
  double pitch = 0;     ///< rise of the planes along x, metres a metre
  double height_m = 0;  ///< bench-frame z of the stack's topmost plane (middle of its kerf) at the pivot
};

struct SearchOptions {
  double kerf_m = 0.009;           ///< width that a plane cut turns to dust; [0, 0.05]
  double rip_kerf_m = 0.009;       ///< the same for the edging cuts between boards of one flitch; [0, 0.05]
  double crosscut_kerf_m = 0.010;  ///< between two length windows end to end; [0, 0.05]
  double sigmas = 2;               ///< the plan keeps inside the wood surface less this many sigma; [0, 5]
  double tolerance_m = 0.001;  ///< the proof stops here: no plan gives more even if the log were this much
                               ///< larger all round; [0.0001, 0.02]
  double time_limit_s = 30;  ///< wall time for the proof; the best plan so far is returned when it ends; > 0
  double most_pitch = 0.05;  ///< steepest rise of the planes against the chord, metres a metre; [0, 0.2]
  bool as_it_lies = false;   ///< roll stays 0
  unsigned threads = 0;      ///< 0: as many as the machine has; the result does not depend on it
};

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const SearchOptions& options);
void check(const Target& target);

/// A cut plane, at the middle of its kerf. `normal` is unit length and points to the rail side (up when it is
/// cut).
struct CutPlane {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();  ///< at the pivot, above or below the chord
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
};

struct Board {
  std::string id;          ///< "1a": flitch 1, first board from the left
  std::size_t flitch = 0;  ///< index in SawPlan::flitches
  std::size_t window = 0;  ///< length window, from the small end
  /// Small end first, then large end; each end: lower left, lower right, upper right, upper left, as seen
  /// from the small end in the bench frame.
  std::array<Eigen::Vector3d, 8> corners_m;
  double margin_m =
      0;  ///< how far the planning surface could lie further in, all round, with this board still whole
};

/// What comes off between two neighbouring planes (or is left under the lowest). Numbered from the top.
struct Flitch {
  std::size_t upper_plane = 0;  ///< index in SawPlan::planes
  std::size_t lower_plane = 0;  ///< index in SawPlan::planes
  std::vector<double>
      yaw;  ///< a length window: slope of its boards in the flitch's plane, dy/dx in the bench frame
  std::vector<std::size_t> boards;  ///< indices in SawPlan::boards
};

/// What the search proved.
struct Proof {
  int boards = 0;           ///< in the plan
  int upper_bound = 0;      ///< no plan gives more, even if the log were `tolerance_m` larger all round
  double tolerance_m = 0;   ///< the tolerance for which `upper_bound` holds
  bool proven = false;      ///< boards == upper_bound
  std::uint64_t nodes = 0;  ///< cells of the search that were bounded
  double seconds = 0;
};

struct SawPlan {
  enum class Status { ok, no_board_fits, log_too_short };
  Status status = Status::no_board_fits;
  std::string message;  ///< one sentence, whatever the status
  Target target;
  SearchOptions options;  ///< as used
  Orientation orientation;
  std::vector<CutPlane> planes;  ///< from the top; parallel; neighbours are thickness + kerf apart
  std::vector<Flitch>
      flitches;  ///< between neighbouring planes; every one holds at least one board... or none inside
  std::vector<Board> boards;
  double margin_m = 0;  ///< least margin of its boards
  Proof proof;
};

/// How far the height mark of the topmost plane may be off at either end, the other end exact, before a board
/// is lost; the smaller of up and down.
struct HeightTolerance {
  double small_end_m = 0;
  double large_end_m = 0;
};

}  // namespace flitchwise::solver
