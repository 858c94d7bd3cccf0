#include "solver/setup/rail.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <tuple>

namespace flitchwise::solver {
namespace {

/// The rail's middle line lies straight along x where it is never further than need be from the middle of the
/// cut: in the middle between the cut's leftmost and rightmost middle.
double middle_of_cut_m(const BenchLog& log, const LevelPlane& plane) {
  double least = std::numeric_limits<double>::infinity();
  double largest = -least;
  for (const BenchSection& section : log.sections()) {
    if (const auto chord = chord_at(section, plane.height_at(section.x_m))) {
      const double middle = (chord->first + chord->second) / 2;
      least = std::min(least, middle);
      largest = std::max(largest, middle);
    }
  }
  return least <= largest ? (least + largest) / 2 : 0;
}

void count_screws(const Kit& kit, RailSetup& rail) {
  rail.least_wood_m = std::numeric_limits<double>::infinity();
  for (const SupportSite& site : rail.sites) {
    if (!site.on_log) {
      continue;
    }
    for (const ScrewSite* screw : {&site.left, &site.right}) {
      ++rail.screws_on_log;
      rail.screws_without_wood += screw->wood_m >= needed_wood_m(kit) ? 0 : 1;
      rail.least_wood_m = std::min(rail.least_wood_m, screw->wood_m);
    }
  }
  if (rail.screws_on_log == 0) {
    rail.least_wood_m = 0;
  }
}

/// Places where bark must be cut away before the rail lies.
int bark_places(const RailSetup& rail, const Kit& kit) {
  int places = 0;
  for (const HighSpot& spot : high_spots_at(rail.peaks, rail.height.height_m, kit)) {
    places += places_of(spot);
  }
  for (const SupportSite& site : rail.sites) {
    for (const ScrewSite* screw : {&site.left, &site.right}) {
      places += screw_at(*screw, rail.height.height_m, kit).status == ScrewPoint::Status::relieve ? 1 : 0;
    }
  }
  return places;
}

/// What stands against opening with this plane.
Obstacle obstacle_of(const RailSetup& rail, const Kit& kit) {
  if (!rail.width_in_range) {
    return {rail.plane, CutTooWide{rail.cut_width_m, kit.saw_usable_bar_m}};
  }
  if (!rail.depth_in_range) {
    return {rail.plane, NoRoomForRail{}};
  }
  if (rail.screws_without_wood > 0) {
    return {rail.plane, ScrewsLackWood{rail.screws_without_wood, rail.screws_on_log, needed_wood_m(kit)}};
  }
  return {rail.plane, BarkInTheWay{bark_places(rail, kit)}};
}

OpeningReason reason_for(const RailSetup& rail, const std::vector<RailSetup>& tried, const Kit& kit) {
  OpeningReason reason{rail.least_wood_m, {}};
  if (!rail.works()) {
    reason.obstacle = obstacle_of(rail, kit);
  } else if (rail.above_m > 0) {
    reason.obstacle = obstacle_of(tried.front(), kit);
  } else if (rail.plane > 0) {
    reason.obstacle = obstacle_of(tried[rail.plane - 1], kit);
  }
  return reason;
}

/// An extra cut above the topmost plane that works, with the least bark to cut away: a board's thickness
/// above it if that is as good as any, so that the saw is not set again, else as little as can be.
std::optional<RailSetup> opening_above(const BenchLog& log, const LevelPlane& topmost, const Kit& kit,
                                       double kerf_m, double normal_depth_m) {
  constexpr double kStep_m = 0.005;
  constexpr double kMost_m = 0.4;  // thicker jackets than any stack leaves
  if (widest_cut_m(log, topmost) > kit.saw_usable_bar_m) {
    return std::nullopt;  // sawn all the same, from whatever flat
  }
  std::vector<double> ways{normal_depth_m + kerf_m / 2};
  for (double above_m = kerf_m + kStep_m; above_m <= kMost_m; above_m += kStep_m) {
    ways.push_back(above_m);
  }
  std::optional<RailSetup> best;
  int least = std::numeric_limits<int>::max();
  for (const double above_m : ways) {
    const double depth_m = ride_on_face(kit, above_m - kerf_m / 2).saw_depth_m;
    if (depth_m < kit.saw_depth_min_m || depth_m > kit.saw_depth_max_m) {
      continue;
    }
    RailSetup rail = rail_setup(log, raised(topmost, above_m), 0, kit, normal_depth_m);
    rail.above_m = above_m;
    if (rail.works() && bark_places(rail, kit) < least) {
      least = bark_places(rail, kit);
      best = std::move(rail);
    }
  }
  return best;
}

/// Smaller is the better compromise.
auto compromise_rank(const RailSetup& rail, const Kit& kit) {
  return std::tuple(std::max(rail.cut_width_m - kit.saw_usable_bar_m, 0.0), !rail.depth_in_range,
                    rail.screws_without_wood, rail.plane);
}

}  // namespace

std::pair<double, double> rail_height_range(const Kit& kit, double normal_depth_m) {
  if (kit.opening_deeper_m > 0) {
    const double fixed_m = std::max(normal_depth_m + kit.opening_deeper_m - kit.rail_height_m, 0.0);
    return {fixed_m, fixed_m};
  }
  const double most_m = kit.saw_depth_max_m - kit.rail_height_m;
  const double over_bracket_m =
      kit.bracket_height_m > 0 ? kit.bracket_height_m + kit.kerf_m / 2 + kit.screw_to_cut_m : 0;
  const double least_m = std::max({kit.saw_depth_min_m - kit.rail_height_m, over_bracket_m, 0.0});
  return {std::min(least_m, most_m), most_m};
}

bool bears(const Support& support) {
  return support.left.status != ScrewPoint::Status::no_bearing ||
         support.right.status != ScrewPoint::Status::no_bearing;
}

double widest_cut_m(const BenchLog& log, const LevelPlane& plane) {
  double widest = 0;
  for (const BenchSection& section : log.sections()) {
    if (const auto chord = chord_at(section, plane.height_at(section.x_m))) {
      widest = std::max(widest, chord->second - chord->first);
    }
  }
  return widest;
}

double cut_area_m2(const BenchLog& log, const LevelPlane& plane) {
  double area = 0;
  double width_before = 0;
  double x_before = 0;
  for (const BenchSection& section : log.sections()) {
    const auto chord = chord_at(section, plane.height_at(section.x_m));
    const double width = chord ? chord->second - chord->first : 0;
    area += (section.x_m - x_before) / plane.cosine * (width + width_before) / 2;  // nothing before the first
    width_before = width;
    x_before = section.x_m;
  }
  return area;
}

std::vector<RailPosition> rail_positions(const Kit& kit, double cosine, double from_x_m, double to_x_m) {
  const double rail_m = kit.rail_length_m * cosine;
  const double overlap_m = kit.least_overlap_m * cosine;
  const double span_m = to_x_m - from_x_m;
  if (rail_m >= span_m) {
    const double over_m = (rail_m - span_m) / 2;
    return {{from_x_m - over_m, to_x_m + over_m, 0}};
  }
  const double step_most_m = rail_m - overlap_m;
  const auto steps = static_cast<int>(std::ceil((span_m - rail_m) / step_most_m));
  const double step_m = (span_m - rail_m) / steps;
  std::vector<RailPosition> positions;
  for (int i = 0; i <= steps; ++i) {
    const double start_m = from_x_m + i * step_m;
    positions.push_back({start_m, start_m + rail_m, i == 0 ? 0 : rail_m - step_m});
  }
  return positions;
}

double longest_rail_span_m(const std::vector<Support>& supports, double cosine) {
  double longest = 0;
  const Support* before = nullptr;
  for (const Support& support : supports) {
    if (!bears(support)) {
      continue;
    }
    if (before != nullptr && before->rail_position == support.rail_position) {
      longest = std::max(longest, (support.x_m - before->x_m) / cosine);
    }
    before = &support;
  }
  return longest;
}

RailSetup rail_setup(const BenchLog& log, const LevelPlane& level, std::size_t plane, const Kit& kit,
                     double normal_depth_m) {
  RailSetup rail;
  rail.plane = plane;
  rail.level = level;
  rail.rail_y_m = middle_of_cut_m(log, level);
  rail.cut_width_m = widest_cut_m(log, level);
  rail.width_in_range = rail.cut_width_m > 0 && rail.cut_width_m <= kit.saw_usable_bar_m;
  const auto [from_x_m, to_x_m] = log.extent_x_m();
  rail.positions = rail_positions(kit, level.cosine, from_x_m, to_x_m);
  rail.sites = support_sites(log, level, kit, rail.positions, rail.rail_y_m);
  rail.peaks = footprint_peaks(log, level, kit, rail.sites, rail.rail_y_m);
  count_screws(kit, rail);
  const auto [least_m, most_m] = rail_height_range(kit, normal_depth_m);
  rail.height = choose_rail_height(rail.sites, rail.peaks, kit, least_m, most_m);
  // A bump or two can be cut away; with most of the length too high the saw is too short for this plane.
  const auto too_high = std::count_if(rail.peaks.begin(), rail.peaks.end(), [&](const FootprintPeak& peak) {
    return peak.height_m + kit.bark_clearance_m > rail.height.height_m;
  });
  rail.depth_in_range = 2 * static_cast<std::size_t>(too_high) <= rail.peaks.size();
  return rail;
}

LevelPlane raised(LevelPlane plane, double up_m) {
  plane.z_m += up_m / plane.cosine;
  return plane;
}

Ride ride_on_face(const Kit& kit, double depth_m) {
  const double over_rail_m = depth_m + kit.rail_height_m;
  const bool rail_helps = over_rail_m >= kit.saw_depth_min_m && over_rail_m <= kit.saw_depth_max_m;
  if (depth_m < kit.saw_depth_min_m && rail_helps) {
    return {RestsOn::rail_on_face, over_rail_m};
  }
  return {RestsOn::sawn_face, depth_m};
}

OpeningChoice choose_opening(const BenchLog& log, const std::vector<LevelPlane>& planes, const Kit& kit,
                             double kerf_m, double normal_depth_m) {
  /// So many places where bark is cut away take as long as an extra cut over the log (common practice, no
  /// source).
  constexpr int kPlacesACut = 4;
  std::vector<RailSetup> tried;
  for (std::size_t i = 0; i < planes.size(); ++i) {
    tried.push_back(rail_setup(log, planes[i], i, kit, normal_depth_m));
    if (tried.back().works()) {
      break;
    }
  }
  const bool works = tried.back().works();
  const int places = works ? bark_places(tried.back(), kit) : std::numeric_limits<int>::max();
  // Deeper planes leave more wood than one above the topmost: where one of them works, that lacks wood.
  if (tried.size() == 1 ? places >= kPlacesACut : !works) {
    const auto above = opening_above(log, planes.front(), kit, kerf_m, normal_depth_m);
    if (above && bark_places(*above, kit) <= places - kPlacesACut) {
      return {*above, reason_for(*above, tried, kit)};
    }
  }
  if (!works) {
    std::sort(tried.begin(), tried.end(), [&](const RailSetup& a, const RailSetup& b) {
      return compromise_rank(a, kit) < compromise_rank(b, kit);
    });
    return {tried.front(), reason_for(tried.front(), tried, kit)};
  }
  return {tried.back(), reason_for(tried.back(), tried, kit)};
}

}  // namespace flitchwise::solver
