#include "flitchwise/solver/setup.hpp"

#include "beam.hpp"
#include "cuts.hpp"
#include "flitchwise/errors.hpp"
#include "flitchwise/species.hpp"
#include "setup_marks.hpp"
#include "setup_rail.hpp"
#include "setup_warnings.hpp"

namespace flitchwise::solver {
namespace {

void require_usable(const SawPlan& plan, const Kit& kit) {
  require(plan.status == SawPlan::Status::ok, "only a plan with boards can be set up: " + plan.message);
  require(!plan.planes.empty(), "the plan holds no cut plane");
  const std::string error = find_error(kit);
  require(error.empty(), "the kit cannot be used: " + error);
  for (const Flitch& flitch : plan.flitches) {
    require(flitch.upper_plane < plan.planes.size(), "a flitch of the plan lies under no plane");
    for (const std::size_t board : flitch.boards) {
      require(board < plan.boards.size(), "a flitch of the plan names a board that is not there");
    }
  }
}

std::vector<LevelPlane> level_planes(const SawPlan& plan) {
  std::vector<LevelPlane> planes;
  for (const CutPlane& plane : plan.planes) {
    planes.push_back(level_plane(plane, plan.orientation.roll_rad));
  }
  return planes;
}

/// The log's own density, or the mean over the table for a log of unknown species.
double density_of(const LogModel& log) {
  return log.density_kg_m3 > 0 ? log.density_kg_m3 : green_density(nullptr).density_kg_m3;
}

void place_rail(const RailSetup& rail, const Kit& kit, SetupSheet& sheet) {
  sheet.opening_plane = rail.plane;
  sheet.rail_height_m = rail.height.height_m;
  sheet.rail_y_m = rail.rail_y_m;
  sheet.rail_positions = rail.positions;
  sheet.supports = supports_at(rail.sites, sheet.rail_height_m, kit);
  sheet.high_spots = high_spots_at(rail.peaks, sheet.rail_height_m, kit);
  sheet.rail_sag_m = sag_m(kit.rail_weight_kg * kGravity / kit.rail_length_m, kit.saw_weight_kg * kGravity,
                           longest_rail_span_m(sheet.supports, rail.level.cosine), kit.rail_ei_n_m2);
}

void list_cuts(const CutPlan& job, SetupSheet& sheet) {
  sheet.cuts = level_cuts(job);
  const std::vector<Cut> flitches = flitch_cuts(job);
  sheet.cuts.insert(sheet.cuts.end(), flitches.begin(), flitches.end());
  int order = 0;
  for (Cut& cut : sheet.cuts) {
    cut.order = ++order;
  }
}

}  // namespace

SetupSheet set_up(const LogModel& log, const SawPlan& plan, const Kit& kit,
                  const HeightTolerance& tolerance) {
  require_usable(plan, kit);
  const BenchLog bench(log, plan.orientation.roll_rad);
  const std::vector<LevelPlane> planes = level_planes(plan);
  const OpeningChoice opening = choose_opening(bench, planes, kit);

  SetupSheet sheet;
  sheet.kit_name = kit.name;
  sheet.opening_reason = opening.reason;
  sheet.roll_rad = plan.orientation.roll_rad;
  sheet.bark_walk_m = bark_walk_m(log, sheet.roll_rad);
  place_rail(opening.rail, kit, sheet);
  sheet.small_end = end_mark(bench, opening.rail.level, sheet.rail_height_m, false, tolerance.small_end_m);
  sheet.large_end = end_mark(bench, opening.rail.level, sheet.rail_height_m, true, tolerance.large_end_m);

  const CutPlan job{bench, plan, kit, planes, opening.rail, density_of(log)};
  sheet.log_weight_kg = log.volume_m3() * job.density_kg_m3;
  list_cuts(job, sheet);
  sheet.warnings = setup_warnings(log, job, sheet);
  return sheet;
}

}  // namespace flitchwise::solver
