#pragma once
/// What the solver is asked and what it answers. Lengths in metres, angles in radians; geometry in the log
/// frame unless a name says otherwise.

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/limits.hpp"

namespace flitchwise::solver {

/// A board that is wanted: rough (as sawn, green) size.
struct Target {
  std::string name;        ///< as the user wrote it, "50x150x3000"
  double thickness_m = 0;  ///< > 0
  double width_m = 0;      ///< > 0; across the flitch
  double length_m = 0;     ///< > 0
  double value = 1;  ///< of one board, in any unit: equal values mean that boards are counted. Values are
                     ///< summed in thousandths, exactly: [0.001, 1e6]
  /// Share of the thickness and of the width that may be wane at each long edge: there the board may lack a
  /// corner of share x thickness by share x width. [0, 0.5)
  double wane_share = 0;
};
FLITCHWISE_FIELDS(Target, name, thickness_m, width_m, length_m, value, wane_share)
constexpr auto limits_of(const Target*) {
  return std::tuple{Limit{&Target::thickness_m, {0.005, 1}}, Limit{&Target::width_m, {0.01, 2}},
                    Limit{&Target::length_m, {0.1, 30}}, Limit{&Target::value, {0.001, 1e6}},
                    Limit{&Target::wane_share, {0, 0.5, true}}};
}

/// How a log is cut up. live: all planes parallel, each flitch edged to width. cant: one layer is a cant as
/// thick as a board is wide, turned a quarter and sawn into boards that stand on edge; flitches above and
/// below it are sawn live. best: whichever gives more, ties to live, which needs no turn.
enum class Pattern { live, cant, best };

/// How the stack of cut planes lies. Planes are level across in the bench frame: at height z = height_m +
/// pitch * (x - pivot) there, pivot being the middle of the usable length, for the topmost, and lower by the
/// flitches' thicknesses and the kerfs for the others.
struct Orientation {
  double roll_rad = 0;  ///< turn of the log about +x before the cut
  double pitch = 0;     ///< rise of the planes along x, metres a metre
  double height_m = 0;  ///< bench-frame z of the stack's topmost plane (middle of its kerf) at the pivot
};
FLITCHWISE_FIELDS(Orientation, roll_rad, pitch, height_m)

struct SearchOptions {
  double kerf_m = 0.009;           ///< width that a plane cut turns to dust; [0, 0.05]
  double rip_kerf_m = 0.009;       ///< the same for the edging cuts between boards of one flitch; [0, 0.05]
  double crosscut_kerf_m = 0.010;  ///< between two length windows end to end; [0, 0.05]
  double sigmas = 2;               ///< the plan keeps inside the wood surface less this many sigma; [0, 5]
  double tolerance_m = 0.001;  ///< the proof stops here: no plan gives more even if the log were this much
                               ///< larger all round; [0.0001, 0.02]
  double time_limit_s = 30;  ///< wall time for the search with its proof and its margin; the best plan so far
                             ///< is returned when it ends; (0, 86400]
  /// Cells bounded and poses tried, at most (it may be passed by a few dozen); 0: no limit. It ends the same
  /// search at the same place on every machine and with any number of threads, so that a plan that must come
  /// out the same again is asked for with this and with a time limit that is never reached.
  std::uint64_t most_nodes = 0;
  double most_pitch = 0.05;  ///< steepest rise of the planes against the chord, metres a metre; [0, 0.2]
  bool as_it_lies = false;   ///< roll stays 0
  std::vector<double> roll_only_rad;  ///< the only rolls that the log rests on; empty: any. Within a turn
  Pattern pattern = Pattern::live;
  double keep_pith_out_m = 0;   ///< a board whose section holds a part of a zone this wide around the pith
                                ///< does not count; 0: off; [0, 0.5]
  double most_grain_slope = 0;  ///< steepest slope of a board's wide face to the pith line, rise a run;
                                ///< 0: off; [0, 1]
  /// Lengths of shorter boards that are wanted from the jackets, the edges and the ends that the full-length
  /// boards leave: see short_boards.hpp. Each is shorter than every target; [0.1, 30]
  std::vector<double> short_lengths_m;
  unsigned threads = 0;  ///< 0: as many as the machine has; the result does not depend on it
};
FLITCHWISE_FIELDS(SearchOptions, kerf_m, rip_kerf_m, crosscut_kerf_m, sigmas, tolerance_m, time_limit_s,
                  most_nodes, most_pitch, as_it_lies, roll_only_rad, pattern, keep_pith_out_m,
                  most_grain_slope, short_lengths_m, threads)
constexpr auto limits_of(const SearchOptions*) {
  return std::tuple{Limit{&SearchOptions::kerf_m, {0, 0.05}},
                    Limit{&SearchOptions::rip_kerf_m, {0, 0.05}},
                    Limit{&SearchOptions::crosscut_kerf_m, {0, 0.05}},
                    Limit{&SearchOptions::sigmas, {0, 5}},
                    Limit{&SearchOptions::tolerance_m, {0.0001, 0.02}},
                    Limit{&SearchOptions::time_limit_s, {0.001, 86400}},
                    Limit{&SearchOptions::most_pitch, {0, 0.2}},
                    Limit{&SearchOptions::roll_only_rad, {-360 * kRadADegree, 360 * kRadADegree}},
                    Limit{&SearchOptions::keep_pith_out_m, {0, 0.5}},
                    Limit{&SearchOptions::most_grain_slope, {0, 1}},
                    Limit{&SearchOptions::short_lengths_m, {0.1, 30}}};
}

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const SearchOptions& options);
void check(const Target& target);
/// The same for a list of them; it must hold at least one and at most kMostTargets.
void check(const std::vector<Target>& targets);
constexpr std::size_t kMostTargets = 60;

/// A cut plane, at the middle of its kerf. `normal` is unit length and points to the rail side (up when it is
/// cut).
struct CutPlane {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();  ///< at the pivot, above or below the chord
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
};
FLITCHWISE_FIELDS(CutPlane, point_m, normal)

struct Board {
  std::string id;          ///< "1a": flitch 1, first board from the left
  std::size_t flitch = 0;  ///< index in SawPlan::flitches
  std::size_t window = 0;  ///< length window, from the small end
  std::size_t target = 0;  ///< index in SawPlan::targets
  /// Small end first, then large end; each end: lower left, lower right, upper right, upper left, as seen
  /// from the small end in the bench frame.
  std::array<Eigen::Vector3d, 8> corners_m;
  double margin_m =
      0;  ///< how far the planning surface could lie further in, all round, with this board still whole
  double grain_slope = 0;  ///< of the wide face to the pith line, rise a run: 0.083 is 1 in 12
};
FLITCHWISE_FIELDS(Board, id, flitch, window, target, corners_m, margin_m, grain_slope)

/// What comes off between two neighbouring planes (or is left under the lowest). Numbered from the top.
struct Flitch {
  /// flat: its boards lie flat and are edged to width. cant: its boards stand on edge; after a quarter turn
  /// they are sawn as a stack of their own (a kerf_m between them), each length window by itself.
  enum class Kind { flat, cant };
  Kind kind = Kind::flat;
  double thickness_m = 0;       ///< between its two sawn faces
  std::size_t upper_plane = 0;  ///< index in SawPlan::planes
  std::size_t lower_plane = 0;  ///< index in SawPlan::planes
  std::vector<double>
      yaw;  ///< a length window: slope of its boards in the flitch's plane, dy/dx in the bench frame
  std::vector<std::size_t> boards;  ///< indices in SawPlan::boards
};
FLITCHWISE_FIELDS(Flitch, kind, thickness_m, upper_plane, lower_plane, yaw, boards)

/// A board of a target's thickness and width but of a shorter length, out of what the full-length boards
/// leave. It is no part of the plan's count, value, margin or proof.
struct ShortBoard {
  enum class Source { top_jacket, bottom_jacket, left_edge, right_edge, small_end, large_end, flitch };
  std::string id;                      ///< "s1", numbered through
  Source source = Source::top_jacket;  ///< flitch: one without full-length boards
  std::size_t flitch = 0;              ///< index in SawPlan::flitches; 0 for jackets
  std::size_t layer = 0;               ///< of a jacket: counted outwards from its sawn face
  std::size_t strip = 0;               ///< boards with the same number lie side by side, crosscut together
  std::size_t target = 0;              ///< index in SawPlan::targets, of its thickness and width
  double length_m = 0;
  std::array<Eigen::Vector3d, 8> corners_m;  ///< as Board::corners_m
  double grain_slope = 0;                    ///< as Board::grain_slope
};
FLITCHWISE_FIELDS(ShortBoard, id, source, flitch, layer, strip, target, length_m, corners_m, grain_slope)

/// What the search proved.
struct Proof {
  int boards = 0;           ///< in the plan
  int upper_bound = 0;      ///< no plan gives more, even if the log were `tolerance_m` larger all round
  double value = 0;         ///< of the plan's boards; their number if all targets are worth the same
  double upper_value = 0;   ///< the same as upper_bound, in value
  double tolerance_m = 0;   ///< the tolerance for which `upper_bound` holds
  bool proven = false;      ///< value == upper_value
  std::uint64_t nodes = 0;  ///< cells of the search that were bounded
  double seconds = 0;
  double margin_bound_m = 0;   ///< no plan of this value has a larger margin; 0: not known
  bool margin_proven = false;  ///< the plan's margin comes within a millimetre of margin_bound_m
  bool ended_early = false;    ///< time or nodes ended the proof: more would narrow the bracket down
};
FLITCHWISE_FIELDS(Proof, boards, upper_bound, value, upper_value, tolerance_m, proven, nodes, seconds,
                  margin_bound_m, margin_proven, ended_early)

/// Less of the log is whole than the shortest board is long.
struct LogTooShort {
  double whole_m = 0;
};
FLITCHWISE_FIELDS(LogTooShort, whole_m)

/// The search ended before it found a board.
struct SearchEnded {
  bool by_time = false;  ///< and not by SearchOptions::most_nodes
};
FLITCHWISE_FIELDS(SearchEnded, by_time)

/// There is no place for a board.
struct NoPlace {
  bool by_a_hair = false;          ///< one is missed by too little to tell from none
  double thickness_m = 0;          ///< of the first kind of layer
  std::optional<double> widest_m;  ///< full-length board of that thickness, whatever its pith and grain; 0:
                                   ///< none; empty: no time to look
};
FLITCHWISE_FIELDS(NoPlace, by_a_hair, thickness_m, widest_m)

/// Why a search gave no board.
using WhyNone = std::variant<LogTooShort, SearchEnded, NoPlace>;

struct SawPlan {
  enum class Status { ok, no_board_fits, log_too_short };
  Status status = Status::no_board_fits;
  std::optional<WhyNone> why_none;  ///< of a search that gave no board
  std::vector<Target> targets;
  SearchOptions options;  ///< as used
  Orientation orientation;
  std::vector<CutPlane> planes;  ///< from the top; parallel; a flitch's thickness + kerf apart
  std::vector<Flitch>
      flitches;  ///< between neighbouring planes; every one holds at least one board... or none inside
  std::vector<Board> boards;
  double value = 0;  ///< sum over its boards of their targets' values; their number if all are worth the same
  double margin_m = 0;  ///< least margin of its boards
  Proof proof;
  std::vector<ShortBoard> short_boards;  ///< beside the boards; empty until add_short_boards
};
FLITCHWISE_FIELDS(SawPlan, status, why_none, targets, options, orientation, planes, flitches, boards, value,
                  margin_m, proof, short_boards)

/// How far the height mark of the topmost plane may be off at either end, the other end exact, before a board
/// is lost; the smaller of up and down. And how far the roll may be off, the heights at the log's middle
/// line kept.
struct HeightTolerance {
  double small_end_m = 0;
  double large_end_m = 0;
  double roll_rad = 0;
};

}  // namespace flitchwise::solver
