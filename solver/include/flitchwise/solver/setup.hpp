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
  double gap_m = 0;  ///< rail underside down to the bark; NaN with no_bearing
  Status status = Status::ok;
  double amount_m = 0;  ///< packer: block to put under the screw; relieve: bark to cut away
  bool seen = false;    ///< the scan saw the bark here
};

struct Support {
  int rail_position = 0;  ///< 1 is at the small end
  int support = 0;        ///< 1 is nearest to the small end on the rail
  double x_m = 0;         ///< from the small end's innermost full section, along the log
  ScrewPoint left;
  ScrewPoint right;
};

/// Bark that the rail would touch between supports.
struct HighSpot {
  double x_m = 0;
  double y_m = 0;
  double cut_away_m = 0;
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
  double half_width_right_m = 0;
  double tolerance_m = 0;  ///< how far the mark may be off before a board is lost
};

struct Cut {
  int order = 0;
  std::string piece;     ///< "log", "top piece", "flitch 2"
  std::string rests_on;  ///< what the rail or the saw rests on
  CutPlane plane;
  double saw_depth_m = 0;      ///< from the face that the saw rides on to the middle of the kerf
  double width_m = 0;          ///< widest place of this cut, over bark
  double piece_weight_kg = 0;  ///< of the piece that comes off
};

struct SetupSheet {
  std::string kit_name;
  std::size_t opening_plane = 0;  ///< index in SawPlan::planes
  std::string opening_reason;     ///< in words
  double rail_height_m = 0;       ///< opening plane up to the rail's underside
  double roll_rad = 0;
  double bark_walk_m = 0;  ///< along the bark, from today's top to the new top, at the log's middle
  EndMark small_end;
  EndMark large_end;
  std::vector<RailPosition> rail_positions;
  std::vector<Support> supports;
  std::vector<HighSpot> high_spots;
  double rail_sag_m = 0;  ///< largest, between two supports, with the saw on the rail
  std::vector<Cut> cuts;
  double log_weight_kg = 0;
  std::vector<std::string> warnings;  ///< each one sentence
};

/// Sets up `plan` on `log` with `kit`. Requires: plan.status is ok; the kit has no error.
SetupSheet set_up(const LogModel& log, const SawPlan& plan, const Kit& kit);

}  // namespace flitchwise::solver
