#pragma once
/// From a plan and a kit to what the person does at the log. Heights and supports are in the bench frame (the
/// log as it lies after it was rolled); "left" is left for one who looks from the small end to the large end.

#include <string>
#include <vector>

#include "flitchwise/log_model.hpp"
#include "flitchwise/solver/kit.hpp"
#include "flitchwise/solver/plan.hpp"

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

/// "ok", "packer 12 mm", "relieve 8 mm" or "no bearing"; amounts rounded up to whole millimetres.
std::string status_text(const ScrewPoint& screw);

struct Support {
  int rail_position = 0;  ///< 1 is at the small end
  int support = 0;        ///< 1 is nearest to the small end on the rail
  double x_m = 0;         ///< along the log from the small end's innermost full section; see SetupSheet
  ScrewPoint left;
  ScrewPoint right;
};

/// Bark that the rail would touch between supports, or come closer to than the kit's clearance.
struct HighSpot {
  double x_m = 0;
  double y_m = 0;
  double cut_away_m = 0;  ///< with the clearance
};

/// How the rail lies on the log for one stretch of the opening cut.
struct RailPosition {
  double start_x_m = 0;
  double end_x_m = 0;
  double overlap_m = 0;  ///< with the position before
};

/// Heights on one end face, along the plumb line through the pith, log in the bench frame.
struct EndMark {
  double above_pith_m = 0;          ///< opening plane above (+) or below (-) the pith
  double below_top_m = 0;           ///< opening plane below the top of the end (bark)
  double above_bottom_m = 0;        ///< opening plane above the bottom of the end (bark)
  double bracket_above_pith_m = 0;  ///< rail's underside above the pith
  double half_width_left_m = 0;     ///< cut line from the plumb line through the pith to the bark
  double half_width_right_m = 0;    ///< both 0 where the plane passes over the end
  double tolerance_m = 0;           ///< how far the mark may be off before a board is lost
};

struct Cut {
  /// opening: with the rail on its supports. level: parallel to it. crosscut and edging: square to the faces
  /// of one flitch, across and along its boards.
  enum class Kind { opening, level, crosscut, edging };
  int order = 0;  ///< from 1
  Kind kind = Kind::level;
  std::string piece;     ///< what is cut: "log", "top piece", "flitch 2", "flitch 2, length 1", "board 2a"
  std::string rests_on;  ///< what the rail or the saw rests on
  CutPlane plane;  ///< normal: level cuts up, edging cuts left, crosscuts to the large end; for edging and
                   ///< crosscuts the point lies in the middle of the flitch
  double saw_depth_m = 0;  ///< from the face that the saw rides on to the middle of the kerf; 0 where the saw
                           ///< follows a chalk line
  double width_m = 0;      ///< widest place of this cut, over bark; edging: the flitch's thickness
  double piece_weight_kg = 0;  ///< of the piece that comes off
};

/// Every x is measured along the log on the opening plane, from the small end's innermost full section.
struct SetupSheet {
  std::string kit_name;
  std::size_t opening_plane = 0;  ///< index in SawPlan::planes
  std::string opening_reason;     ///< in words
  double rail_height_m = 0;       ///< opening plane up to the rail's underside, square to the plane
  double rail_y_m = 0;            ///< bench frame: the rail's middle line, straight along x
  double roll_rad = 0;            ///< as in the plan
  double bark_walk_m = 0;  ///< along the bark at the log's middle from today's top to the new top: positive
                           ///< to the left (with a positive roll), negative to the right
  EndMark small_end;
  EndMark large_end;
  std::vector<RailPosition> rail_positions;
  std::vector<Support> supports;  ///< by rail position, then along the rail
  std::vector<HighSpot> high_spots;
  double rail_sag_m = 0;  ///< largest, between two supports that bear, with the saw on the rail
  std::vector<Cut> cuts;
  double log_weight_kg = 0;           ///< over bark, between the first and the last station
  std::vector<std::string> warnings;  ///< each one sentence, the gravest first
};

/// Sets up `plan` on `log` with `kit`. `tolerance` is height_tolerance(log, plan) of search.hpp; it only goes
/// into the end marks. Throws BadUse unless plan.status is ok, the plan's planes are level across after its
/// roll, the log model holds its invariants and the kit has no error.
SetupSheet set_up(const LogModel& log, const SawPlan& plan, const Kit& kit, const HeightTolerance& tolerance);

}  // namespace flitchwise::solver
