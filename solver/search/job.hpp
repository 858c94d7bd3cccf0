#pragma once
/// What is asked, prepared once: the solid, what a layer may be, and where its boards may lie along the log.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "solver/plan/plan.hpp"
#include "solver/search/section.hpp"

namespace flitchwise::solver {

/// No board is turned further in its flitch's plane than this (dy/dx). A long board that needs more does not
/// lie in any log that a saw could follow; the bound counts on it, too.
constexpr double kMostYaw = 0.1;

/// Values as whole numbers, so that sums are exact: boards, if all targets are worth the same; else
/// thousandths of the targets' unit.
using Worth = std::int64_t;

/// Where one length may lie along the log.
struct Place {
  double low_x_m = 0;
  double high_x_m = 0;
  std::size_t length = 0;         ///< index in Job::lengths_m
  double spare_m = 0;             ///< what the place is longer than the boards, for corners of turned boards
  std::size_t first_station = 0;  ///< first and one past the last station inside
  std::size_t end_station = 0;
  std::size_t low_section = 0;  ///< the interpolated sections at both ends, index in Job::sections
  std::size_t high_section = 0;
  double middle_x_m() const { return (low_x_m + high_x_m) / 2; }
};

/// Whether `holds` of every section of a place. The ends first: the small end most often rules a layer out.
template <typename Holds>
bool holds_along(const Place& place, const Holds& holds) {
  bool all = holds(place.low_section) && holds(place.high_section);
  for (std::size_t i = place.first_station; all && i < place.end_station; ++i) {
    all = holds(i);
  }
  return all;
}

/// One length of a layout and the places that it may take: the further, the further from the small end.
struct Window {
  std::size_t length = 0;           ///< index in Job::lengths_m
  std::vector<std::size_t> places;  ///< indices in Job::places
};

/// Lengths end to end from the small end, with no room left for another one.
struct Layout {
  std::vector<Window> windows;
};

/// Boards side by side with a kerf between them.
struct Edging {
  double width_m = 0;  ///< boards and kerfs
  Worth worth = 0;
  std::size_t chamfer = 0;           ///< that both outer boards allow; index in Job::chamfers
  double widest_m = 0;               ///< of its boards, across the layer
  std::vector<std::size_t> targets;  ///< of the boards, from the left
};

/// What a menu gives at most in a room: worth rising with width.
struct MenuSteps {
  std::vector<double> width_m;
  std::vector<Worth> worth;
  double each_m = 0;  ///< of one board alone on the menu: n boards need n times this, less a kerf; 0: mixed
  Worth each = 0;     ///< its worth
};

/// What a layer may be.
struct LayerKind {
  Flitch::Kind kind = Flitch::Kind::flat;
  double thickness_m = 0;
  double kerf_m = 0;                       ///< between its boards
  std::vector<std::vector<Edging>> menus;  ///< a length: worth not falling; none is beaten by another one
  std::vector<MenuSteps> steps;            ///< the same for the bound
  Chamfer most_chamfer;                    ///< of its boards, in both directions
  double narrowest_m = 0;                  ///< of its boards, across the layer
  double widest_m = 0;
  bool faces_up = false;     ///< the wide face of some of its boards lies in the layer's plane
  bool faces_aside = false;  ///< or square to it
};

struct Job {
  std::vector<Target> targets;
  SearchOptions options;
  Solid solid;
  std::vector<Worth> worths;      ///< a target
  double worth_unit = 1;          ///< value of a Worth of 1
  std::vector<double> lengths_m;  ///< rising
  std::vector<LayerKind> kinds;   ///< flat ones first
  std::vector<Chamfer> chamfers;  ///< the first is none
  std::vector<Layout> layouts;    ///< none: the log is too short
  bool all_layouts = true;        ///< false: there are too many, only some are tried
  std::vector<Section> sections;  ///< the stations, then the ends of all places
  std::vector<Place> places;
  double corner_room_m = 0;                             ///< wanted for the corners of turned boards
  Eigen::Vector2d pith_m = Eigen::Vector2d::Zero();     ///< y, z in the log frame at x = 0
  Eigen::Vector2d pith_rise = Eigen::Vector2d::Zero();  ///< of it along x

  bool counts() const { return worth_unit == 1; }
  /// Planes all lie one spacing apart: one kind of layer, and no need to leave wood between layers.
  bool evenly_spaced() const { return kinds.size() == 1 && options.keep_pith_out_m == 0; }
  double value_of(Worth worth) const { return static_cast<double>(worth) * worth_unit; }
};

/// `pattern`: live or cant. Throws BadUse if targets or options are out of range or the model is broken.
Job make_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options);

/// The same without layouts: every length has places all along the log, each by itself.
Job make_loose_job(const LogModel& log, const std::vector<Target>& targets, const SearchOptions& options);

}  // namespace flitchwise::solver
