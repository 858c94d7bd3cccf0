#include "setup_rail.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
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
      const double wood_m = screw->bark ? std::max(screw->bark->height_m, 0.0) : 0;
      rail.screws_without_wood += wood_m >= needed_wood_m(kit) ? 0 : 1;
      rail.least_wood_m = std::min(rail.least_wood_m, wood_m);
    }
  }
  if (rail.screws_on_log == 0) {
    rail.least_wood_m = 0;
  }
}

/// What stands against opening with this plane, in words; it does not work.
std::string obstacle_text(const RailSetup& rail, const Kit& kit) {
  const std::string plane = "plane " + std::to_string(rail.plane + 1);
  if (!rail.width_in_range) {
    return "at " + plane + ", the cut is " + mm_text(rail.cut_width_m) + " wide and the bar spans " +
           mm_text(kit.saw_usable_bar_m);
  }
  if (!rail.depth_in_range) {
    return "over " + plane + ", the saw's depth range leaves no room for the rail above the bark";
  }
  const bool one = rail.screws_without_wood == 1;
  return "over " + plane + ", " + std::to_string(rail.screws_without_wood) + " of " +
         std::to_string(rail.screws_on_log) + " screws would lack the " + mm_text(needed_wood_m(kit)) +
         " of bark and wood that " + (one ? "it needs" : "they need") + " above the cut";
}

/// Of the rail's underside above the plane, by the saw: its depth is this and the rail's own height. A
/// bracket lies wholly above the kerf, so that the bar passes under it at the ends.
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

std::string reason_text(const RailSetup& rail, const std::vector<RailSetup>& tried, const Kit& kit) {
  const std::string plane = "plane " + std::to_string(rail.plane + 1);
  if (!rail.works()) {
    return "no plane of the stack works with this kit; " + plane +
           " is the best compromise: " + obstacle_text(rail, kit);
  }
  const std::string wood = "every screw finds at least " + mm_text(rail.least_wood_m) + " above the cut";
  if (rail.plane == 0) {
    return plane + ", the topmost: " + wood;
  }
  return plane + ": " + wood + "; " + obstacle_text(tried[rail.plane - 1], kit) +
         ". The planes above it are sawn from the piece that comes off, from its flat face";
}

/// Smaller is the better compromise.
auto compromise_rank(const RailSetup& rail, const Kit& kit) {
  return std::tuple(std::max(rail.cut_width_m - kit.saw_usable_bar_m, 0.0), !rail.depth_in_range,
                    rail.screws_without_wood, rail.plane);
}

}  // namespace

bool bears(const Support& support) {
  return support.left.status != ScrewPoint::Status::no_bearing ||
         support.right.status != ScrewPoint::Status::no_bearing;
}

std::string mm_text(double length_m) {
  constexpr double kMmAMetre = 1000;
  return std::to_string(std::lround(length_m * kMmAMetre)) + " mm";
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

OpeningChoice choose_opening(const BenchLog& log, const std::vector<LevelPlane>& planes, const Kit& kit,
                             double normal_depth_m) {
  std::vector<RailSetup> tried;
  for (std::size_t i = 0; i < planes.size(); ++i) {
    tried.push_back(rail_setup(log, planes[i], i, kit, normal_depth_m));
    if (tried.back().works()) {
      break;
    }
  }
  if (!tried.back().works()) {
    std::sort(tried.begin(), tried.end(), [&](const RailSetup& a, const RailSetup& b) {
      return compromise_rank(a, kit) < compromise_rank(b, kit);
    });
    return {tried.front(), reason_text(tried.front(), tried, kit)};
  }
  return {tried.back(), reason_text(tried.back(), tried, kit)};
}

}  // namespace flitchwise::solver
