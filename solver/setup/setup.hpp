#pragma once
/// From a plan and a kit to what the person does at the log. Heights and supports are in the bench frame (the
/// log as it lies after it was rolled); "left" is left for one who looks from the small end to the large end.

#include <limits>
#include <string>
#include <vector>

#include "scan/model/log_model.hpp"
#include "solver/plan/plan.hpp"
#include "solver/setup/kit.hpp"
#include "solver/setup/setup_facts.hpp"

namespace flitchwise::solver {

/// Where one screw stands.
struct ScrewPoint {
  enum class Status { ok, packer, relieve, no_bearing };
  double y_m = 0;    ///< bench frame
  double gap_m = 0;  ///< rail underside down to the bark, square to the rail; NaN with no_bearing
  Status status = Status::ok;
  double amount_m = 0;  ///< packer: least block to put under the screw; relieve: bark to cut away
  bool seen = false;    ///< the scan saw the bark here
};

struct Support {
  int rail_position = 0;  ///< 1 is at the small end
  int support = 0;        ///< 1 is nearest to the small end on the rail
  double x_m = 0;         ///< along the log from the small end's innermost full section; see SetupSheet
  ScrewPoint left;
  ScrewPoint right;
  int same_place_as = 0;    ///< support of the rail position before that stood here too, from 1; 0: none
  double string_m = 0;      ///< string above the rail plane here, its sag taken off; 0: no string
  double string_sag_m = 0;  ///< how far the string hangs through here
};

/// Bark that the rail would touch between supports, or come closer to than the kit's clearance.
struct HighSpot {
  double x_m = 0;
  double y_m = 0;
  double cut_away_m = 0;  ///< with the clearance, of bark two sigma further out than found
  double from_x_m = 0;    ///< the stretch whose highest place this is
  double to_x_m = 0;
};
FLITCHWISE_FIELDS(HighSpot, x_m, y_m, cut_away_m, from_x_m, to_x_m)

/// How the rail lies on the log for one stretch of the opening cut.
struct RailPosition {
  double start_x_m = 0;
  double end_x_m = 0;
  double overlap_m = 0;  ///< with the position before
};
FLITCHWISE_FIELDS(RailPosition, start_x_m, end_x_m, overlap_m)

/// Heights on one end face, along the plumb line through the pith, log in the bench frame.
struct EndMark {
  double above_pith_m = 0;          ///< opening plane above (+) or below (-) the pith
  double below_top_m = 0;           ///< opening plane below the top of the end (bark)
  double above_bottom_m = 0;        ///< opening plane above the bottom of the end (bark)
  double bracket_above_pith_m = 0;  ///< rail's underside above the pith
  double half_width_left_m = 0;     ///< cut line from the plumb line through the pith to the bark
  double half_width_right_m = 0;    ///< both 0 where the plane passes over the end
  double tolerance_m = 0;           ///< how far the mark may be off before a board is lost
  double rail_left_m = 0;           ///< rail's middle line left (+) or right (-) of the plumb line
};

/// How to see that both brackets are parallel: two strings from corner to corner of their upper edges cross
/// midway between the ends. Their lengths show a bracket that stands askew or to one side; that they touch
/// where they cross shows that neither is twisted against the other.
struct BracketCheck {
  double left_to_right_m = 0;  ///< left corner at the small end to right corner at the large end
  double right_to_left_m = 0;  ///< right corner at the small end to left corner at the large end
  double most_gap_m = 0;  ///< between the strings at the crossing, before twist uses up the marks' tolerance
};

/// What a cut is made in.
struct Piece {
  enum class Kind {
    log,
    top_piece,  ///< what the opening cut takes off
    flitch,     ///< or a cant
    board,      ///< one of SawPlan::boards, while it is brought to length by itself
    rest        ///< what the full-length boards leave
  };
  Kind kind = Kind::log;
  std::size_t flitch = kNone;  ///< index in SawPlan::flitches: of a flitch, a board and a rest of a flitch
  std::size_t window = kNone;  ///< of a flitch: the length window that the cut is for, from the small end
  bool parted = false;         ///< the flitch was cut apart between its windows, if it has more than one
  bool cant = false;           ///< the flitch is a cant
  std::string board;           ///< id of the board
  ShortBoard::Source rest = ShortBoard::Source::top_jacket;  ///< of a rest
  static constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();

  bool operator==(const Piece&) const = default;
};

/// What the rail or the saw rests on while a cut is made.
enum class RestsOn {
  supports,      ///< the rail on its supports, on the bark
  sawn_face,     ///< the saw on the face of the piece that was sawn before
  rail_on_face,  ///< the rail between, as a spacer
  sawn_edge,     ///< the saw on the edge that was sawn before
  chalk_line,    ///< the saw on the flat piece, along a line
  bearers        ///< the piece on bearers, cut along a square line
};

struct Cut {
  /// opening: with the rail on its supports. level: parallel to it. crosscut and edging: square to the faces
  /// of one flitch, across and along its boards. cant: the same as edging, but level, in a cant that was
  /// turned a quarter clockwise as seen from the small end, its left side up.
  enum class Kind { opening, level, crosscut, edging, cant };
  int order = 0;  ///< from 1
  Kind kind = Kind::level;
  Piece piece;
  RestsOn rests_on = RestsOn::supports;
  bool turned_over = false;  ///< before this cut the piece is turned over, flat side up
  CutPlane plane;  ///< normal: level cuts up, edging and cant cuts left, crosscuts to the large end; for all
                   ///< but level cuts the point lies in the middle of the flitch
  double saw_depth_m = 0;  ///< from the face that the saw rides on to the middle of the kerf; 0 where the saw
                           ///< follows a chalk line
  double width_m = 0;      ///< widest place of this cut, over bark; edging and cant: the flitch's thickness
  double piece_weight_kg = 0;  ///< of the piece that comes off
  double area_m2 = 0;          ///< of the cut face, over bark
};

/// Where one edging or cant cut runs over a flitch.
struct EdgingLine {
  double at_start_m = 0;  ///< from the left bark edge of the upper face, square to the log, where the boards
                          ///< begin; to the middle of the kerf
  double at_end_m = 0;    ///< the same where they end
};

/// The boards of one length window on a flitch.
struct EdgingWindow {
  std::size_t window = 0;
  double start_m = 0;               ///< x where its first board begins
  double end_m = 0;                 ///< x where its last board ends
  std::vector<EdgingLine> lines;    ///< from the left
  std::vector<std::size_t> boards;  ///< indices in SawPlan::boards, from the left
};

/// A flitch as it lay in the log, seen from above: bench frame, small end first.
struct FlitchLayout {
  std::size_t flitch = 0;            ///< index in SawPlan::flitches
  std::vector<double> x_m;           ///< of the corners below
  std::vector<double> upper_left_m;  ///< y of the upper face's bark edge; NaN where the face does not reach
  std::vector<double> upper_right_m;
  std::vector<double> lower_left_m;  ///< the same for the lower face
  std::vector<double> lower_right_m;
  std::vector<EdgingWindow> windows;
  double weight_kg = 0;  ///< whole, over bark
};

/// The rail for the first cut of one length of a cant, turned a quarter clockwise as seen from the small end:
/// what was the cant's lower face is its left side then.
struct CantRail {
  std::size_t flitch = 0;         ///< index in SawPlan::flitches
  std::size_t window = 0;         ///< length window, from the small end
  double rail_height_m = 0;       ///< the first cut up to the rail's underside
  std::vector<Support> supports;  ///< x as in the log; y of the screws from the middle of the cant's
                                  ///< thickness to its left
  int bark_places = 0;            ///< where bark under the rail must be cut away besides the supports' places
};

/// What the log gives.
struct WoodBalance {
  double log_m3 = 0;     ///< over bark
  double boards_m3 = 0;  ///< green, rough
  double sawdust_m3 = 0;
  double sawn_m2 = 0;  ///< of all cuts
  double yield() const { return log_m3 > 0 ? boards_m3 / log_m3 : 0; }
};

/// Every x is measured along the log on the opening plane, from the small end's innermost full section.
struct SetupSheet {
  std::string kit_name;           ///< empty: the plain kit
  Kit kit;                        ///< as used
  std::size_t opening_plane = 0;  ///< index in SawPlan::planes: of the opening cut, or of the cut after it
                                  ///< where extra_cut_m is not 0
  double extra_cut_m = 0;  ///< the opening cut lies this much above that plane and only makes a flat to saw
                           ///< from; 0: it makes that plane
  OpeningReason opening_reason;
  bool opening_works = true;  ///< false: no plane of the stack works with the kit, this is a compromise
  double rail_height_m = 0;   ///< opening plane up to the rail's underside, square to the plane
  double rail_y_m = 0;        ///< bench frame: the rail's middle line, straight along x
  double roll_rad = 0;        ///< as in the plan
  double bark_walk_m = 0;  ///< along the bark at the log's middle from today's top to the new top: positive
                           ///< to the left (with a positive roll), negative to the right
  EndMark small_end;
  EndMark large_end;
  std::vector<RailPosition> rail_positions;
  std::vector<Support> supports;  ///< by rail position, then along the rail
  std::vector<HighSpot> high_spots;
  std::vector<ScrewFault> screw_faults;
  BracketCheck brackets;      ///< all 0 if the kit has none
  double rail_sag_m = 0;      ///< largest, between two supports that bear, with the saw on the rail
  double longest_span_m = 0;  ///< between supports at which the sag stays within the kit's limit
  std::vector<Cut> cuts;
  std::vector<FlitchLayout> flitches;  ///< those with boards
  std::vector<CantRail> cant_rails;    ///< one a length of every cant
  WoodBalance balance;
  double log_weight_kg = 0;         ///< over bark, between the first and the last station
  std::vector<SetupFact> warnings;  ///< the gravest first
};

/// The plane of the opening cut, which need not be one of the plan's. Log frame.
CutPlane opening_cut_plane(const SawPlan& plan, const SetupSheet& sheet);

/// The pith of one end by tape, log as scanned (roll 0): y and z in the log frame of the place that lies
/// `top_m` below the bark on a plumb line and `left_m` in from the bark on a level line, to the left hand of
/// one who faces that end. Throws BadUse if there is no such place within the end.
Eigen::Vector2d pith_by_tape(const LogModel& log, bool large_end, double top_m, double left_m);

/// Throws BadUse unless plan.status is ok, the plan's parts refer to each other as they should and the kit
/// has no error.
void require_usable(const SawPlan& plan, const Kit& kit);

/// Sets up `plan` on `log` with `kit`. `tolerance` is height_tolerance(log, plan); it only goes into the end
/// marks. Throws BadUse unless plan.status is ok, the plan's planes are level across after its roll, the log
/// model holds its invariants and the kit has no error.
SetupSheet set_up(const LogModel& log, const SawPlan& plan, const Kit& kit, const HeightTolerance& tolerance);

}  // namespace flitchwise::solver
