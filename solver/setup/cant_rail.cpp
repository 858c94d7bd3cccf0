#include "solver/setup/cant_rail.hpp"

#include <algorithm>
#include <cmath>

#include "solver/setup/level_cuts.hpp"

namespace flitchwise::solver {
namespace {

/// One cant after the turn, for the first cut of one of its lengths. "Up" is what was the log's left.
class TurnedCant {
 public:
  TurnedCant(const CutPlan& job, const Cut& first)
      : log_(job.log),
        kit_(job.kit),
        up_(bench_from_log(job.plan.orientation.roll_rad) * first.plane.normal),
        cut_m_(first.plane.normal.dot(first.plane.point_m)) {
    const Flitch& flitch = job.plan.flitches[first.piece.flitch];
    const double half_kerf_m = job.plan.options.kerf_m / 2;
    was_upper_ = raised(job.planes[flitch.upper_plane], -half_kerf_m);
    was_lower_ = raised(job.planes[flitch.lower_plane], half_kerf_m);
  }

  std::vector<SupportSite> sites(const std::vector<RailPosition>& positions, double from_x_m,
                                 double to_x_m) const {
    const auto screw_at = [&](const SupportSite& site, double left_m) {
      const BenchSection section = log_.section_at(site.x_m);
      return screw_site(left_m, kit_,
                        [&](double at_m) { return site.on_log ? bark_at(section, at_m) : std::nullopt; });
    };
    return sites_along(kit_, positions, 1, {from_x_m, to_x_m}, screw_at);
  }

  std::vector<FootprintPeak> peaks(double from_x_m, double to_x_m) const {
    constexpr int kSteps = 8;  // across the rail
    std::vector<FootprintPeak> peaks;
    for (const BenchSection& section : log_.outermost_sections()) {
      FootprintPeak peak{section.x_m, 0, 0};
      bool found = false;
      for (int i = 0; i <= kSteps && section.x_m >= from_x_m && section.x_m <= to_x_m; ++i) {
        const double y_m = kit_.rail_width_m * (static_cast<double>(i) / kSteps - 0.5);
        const auto bark = bark_at(section, y_m);
        if (bark && (!found || bark->height_m > peak.height_m)) {
          peak = {section.x_m, y_m, bark->height_m};
          found = true;
        }
      }
      if (found) {
        peaks.push_back(peak);
      }
    }
    return peaks;
  }

 private:
  /// Bark over the first cut, this far to the left of the middle of the cant's thickness; empty beside it.
  std::optional<BenchLog::Height> bark_at(const BenchSection& section, double left_m) const {
    const double upper_m = was_upper_.height_at(section.x_m);
    const double lower_m = was_lower_.height_at(section.x_m);
    const double z_m = (upper_m + lower_m) / 2 - left_m;  // the lower face has come to the left
    const auto chord = chord_at(section, z_m);
    if (!chord || z_m > upper_m || z_m < lower_m) {
      return std::nullopt;
    }
    double nearest_m = std::numeric_limits<double>::infinity();
    bool seen = false;
    for (Eigen::Index i = 0; i < section.bark_m.rows(); ++i) {
      const double away_m = std::hypot(section.bark_m(i, 0) - chord->second, section.bark_m(i, 1) - z_m);
      if (away_m < nearest_m) {
        nearest_m = away_m;
        seen = section.seen[static_cast<std::size_t>(i)] != 0;
      }
    }
    return BenchLog::Height{up_.dot(Eigen::Vector3d(section.x_m, chord->second, z_m)) - cut_m_, seen};
  }

  const BenchLog& log_;
  const Kit& kit_;
  Eigen::Vector3d up_;  ///< bench frame of the log
  double cut_m_;        ///< of the first cut along it
  LevelPlane was_upper_;
  LevelPlane was_lower_;
};

CantRail rail_on(const CutPlan& job, const Cut& first, const EdgingWindow& window) {
  const TurnedCant cant(job, first);
  const auto positions = rail_positions(job.kit, 1, window.start_m, window.end_m);
  const auto sites = cant.sites(positions, window.start_m, window.end_m);
  const auto peaks = cant.peaks(window.start_m, window.end_m);
  const auto [least_m, most_m] = rail_height_range(job.kit, normal_saw_depth_m(job.plan, job.planes));
  const RailHeight best = choose_rail_height(sites, peaks, job.kit, least_m, most_m);
  const double opening_m = job.rail.height.height_m;
  CantRail rail;
  rail.flitch = first.piece.flitch;
  rail.window = first.piece.window;
  rail.rail_height_m =
      rail_work_m(sites, peaks, job.kit, opening_m) <= best.work_m ? opening_m : best.height_m;
  rail.supports = supports_at(sites, rail.rail_height_m, job.kit);
  for (const HighSpot& spot : high_spots_at(peaks, rail.rail_height_m, job.kit)) {
    rail.bark_places += places_of(spot);
  }
  return rail;
}

}  // namespace

void lay_on_cants(const CutPlan& job, SetupSheet& sheet) {
  for (Cut& cut : sheet.cuts) {
    const bool laid =
        std::any_of(sheet.cant_rails.begin(), sheet.cant_rails.end(), [&](const CantRail& rail) {
          return rail.flitch == cut.piece.flitch && rail.window == cut.piece.window;
        });
    if (cut.kind != Cut::Kind::cant || laid) {
      continue;
    }
    for (const FlitchLayout& layout : sheet.flitches) {
      for (const EdgingWindow& window : layout.windows) {
        if (layout.flitch == cut.piece.flitch && window.window == cut.piece.window) {
          sheet.cant_rails.push_back(rail_on(job, cut, window));
          cut.saw_depth_m = sheet.cant_rails.back().rail_height_m + job.kit.rail_height_m;
        }
      }
    }
  }
}

}  // namespace flitchwise::solver
