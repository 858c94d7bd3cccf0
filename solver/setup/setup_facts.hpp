#pragma once
/// What a setup has to tell beside its figures: a struct a kind of fact, with its quantities. No sentences:
/// tools/report/setup_words.hpp makes them.

#include <cstddef>
#include <optional>
#include <variant>
#include <vector>

#include "scan/model/fields.hpp"
#include "scan/model/log_model.hpp"

namespace flitchwise::solver {

/// NIOSH revised lifting equation, load constant: the most that one person may lift under ideal conditions
/// (OSHA states it as 51 lb).
constexpr double kLift_kg = 23;

/// A cut is wider than the bar spans.
struct CutTooWide {
  double width_m = 0;
  double bar_m = 0;
};

/// The saw's depth range leaves no room for the rail above the bark.
struct NoRoomForRail {};

/// Screws on the log that would not find bark and wood enough above the cut.
struct ScrewsLackWood {
  int screws = 0;
  int of_screws = 0;  ///< all that stand on the log
  double needed_m = 0;
};

/// Bark or knots must be cut away before the rail lies.
struct BarkInTheWay {
  int places = 0;
};

/// What stands against opening the stack with a plane.
struct Obstacle {
  std::size_t plane = 0;  ///< index in SawPlan::planes
  std::variant<CutTooWide, NoRoomForRail, ScrewsLackWood, BarkInTheWay> what;
};

/// Why the opening cut goes where SetupSheet says.
struct OpeningReason {
  double least_wood_m = 0;           ///< that a screw on the log finds above the cut
  std::optional<Obstacle> obstacle;  ///< of the plane above; with an extra cut, of the topmost; where no
                                     ///< plane works, of the one that is opened all the same
};

/// No plane of the stack works with the kit.
struct OpeningFails {
  Obstacle obstacle;  ///< of the best compromise
};

/// Cuts that are wider than the bar spans.
struct BarTooShort {
  int cuts = 0;
  int widest_cut = 0;  ///< its order
  double width_m = 0;  ///< of the widest
  double bar_m = 0;
};

/// The first cut whose depth the saw cannot be set to.
struct DepthOutOfRange {
  int cut = 0;  ///< its order
  double depth_m = 0;
  double least_m = 0;
  double most_m = 0;
};

/// The kit's saw cuts another kerf than the plan was made for.
struct KerfDiffers {
  double plan_m = 0;
  double kit_m = 0;
};

/// The saw would run into the end brackets.
struct BracketsTooHigh {
  double bracket_m = 0;
  double rail_height_m = 0;  ///< of the rail's underside above the cut
  double would_do_m = 0;     ///< height of a bracket
};

/// A wood screw that would end too near to the cut.
struct ScrewFault {
  int rail_position = 0;
  int support = 0;
  bool left = false;
  double tip_above_cut_m = 0;  ///< negative: below it
  double most_bite_m = 0;      ///< how deep below the bark a screw may go here; 0: none may
};

/// Screws as the kit has them would end too near to the cut at these places.
struct ScrewsNearCut {
  std::vector<ScrewFault> places;
  bool many_positions = false;  ///< the rail is moved, so that a support's number is not enough
  double bite_m = 0;            ///< below the bark, of the kit's screws
  double to_cut_m = 0;          ///< that the kit keeps between a screw and the cut
};

/// A rail position that has less than two supports on the log.
struct TooFewSupports {
  int rail_position = 0;
  int supports = 0;
};

/// Levelling screws that do not reach the bark.
struct BlocksNeeded {
  int screws = 0;
  double reach_m = 0;  ///< with which no screw would need one
};

/// Screws over bark that the scan did not see.
struct BarkUnseen {
  int screws = 0;
};

/// The rail sags more than the kit allows.
struct RailSags {
  double sag_m = 0;
  double most_m = 0;
  double span_m = 0;  ///< between supports, with which it would not
};

/// Knots or stubs that come under the log while it is rolled.
struct KnotsUnderLog {
  std::vector<Knot> knots;
};

/// A butt on which the log would roll in a curve.
struct ButtSwells {
  double by_m = 0;  ///< of diameter, more than the log tapers
};

/// Knots or stubs under or beside the rail.
struct KnotsAtRail {
  std::vector<Knot> knots;
};

/// Screws that stand on stubs, where the bark that was seen is no measure for the gap.
struct ScrewsOnStubs {
  struct Screw {
    int rail_position = 0;
    int support = 0;
    bool left = false;
  };
  std::vector<Screw> screws;
};

/// The pith was taken to be the middle of each end.
struct PithAssumed {};

/// The heaviest piece that comes off is more than `people` may lift.
struct HeavyPiece {
  int cut = 0;  ///< order of the cut that takes it off
  double weight_kg = 0;
  int people = 0;
};

/// A log that is to be rolled.
struct HeavyLog {
  double weight_kg = 0;
};

/// Weights are for the mean of many species.
struct SpeciesUnknown {};

using SetupFact = std::variant<OpeningFails, BarTooShort, DepthOutOfRange, KerfDiffers, BracketsTooHigh,
                               ScrewsNearCut, TooFewSupports, ScrewsLackWood, BlocksNeeded, BarkInTheWay,
                               BarkUnseen, RailSags, KnotsUnderLog, ButtSwells, KnotsAtRail, ScrewsOnStubs,
                               PithAssumed, HeavyPiece, HeavyLog, SpeciesUnknown>;

/// What alone would let a kit saw the best stack.
struct KitMend {
  enum class Kind {
    bar,    ///< one that spans `length_m`
    saw,    ///< one that cuts `length_m` deeper
    screws  ///< that need `length_m` less wood above the cut
  };
  Kind kind = Kind::bar;
  double length_m = 0;
};
FLITCHWISE_FIELDS(KitMend, kind, length_m)

/// The best stack cannot be opened and sawn with the kit.
struct KitCosts {
  int best_boards = 0;          ///< of the best stack
  std::optional<KitMend> mend;  ///< empty: one thing alone is not enough
  int boards = 0;               ///< of the plan that was taken for the kit; 0: none was found
};
FLITCHWISE_FIELDS(KitCosts, best_boards, mend, boards)

}  // namespace flitchwise::solver
