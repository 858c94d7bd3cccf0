#include "solver/setup/setup.hpp"

#include <algorithm>

#include "scan/model/errors.hpp"
#include "scan/model/species.hpp"
#include "solver/setup/beam.hpp"
#include "solver/setup/cant_rail.hpp"
#include "solver/setup/facts.hpp"
#include "solver/setup/flitch_cuts.hpp"
#include "solver/setup/flitch_layout.hpp"
#include "solver/setup/level_cuts.hpp"
#include "solver/setup/marks.hpp"
#include "solver/setup/rail.hpp"
#include "solver/setup/short_cuts.hpp"

namespace flitchwise::solver {
namespace {

/// The log's own density, or the mean over the table for a log of unknown species.
double density_of(const LogModel& log) {
  return log.density_kg_m3 > 0 ? log.density_kg_m3 : green_density(nullptr).density_kg_m3;
}

void place_rail(const RailSetup& rail, const Kit& kit, SetupSheet& sheet) {
  sheet.opening_plane = rail.plane;
  sheet.extra_cut_m = rail.above_m;
  sheet.rail_height_m = rail.height.height_m;
  sheet.rail_y_m = rail.rail_y_m;
  sheet.rail_positions = rail.positions;
  sheet.supports = supports_at(rail.sites, sheet.rail_height_m, kit);
  sheet.high_spots = high_spots_at(rail.peaks, sheet.rail_height_m, kit);
  sheet.screw_faults = screw_faults_at(rail.sites, kit);
  sheet.longest_span_m = longest_span_m(kit.rail_weight_kg * kGravity / kit.rail_length_m,
                                        kit.saw_weight_kg * kGravity, kit.rail_ei_n_m2, kit.most_sag_m);
  sheet.rail_sag_m = sag_m(kit.rail_weight_kg * kGravity / kit.rail_length_m, kit.saw_weight_kg * kGravity,
                           longest_rail_span_m(sheet.supports, rail.level.cosine), kit.rail_ei_n_m2);
}

/// The string runs from end to end of the log, as high over the rail plane at both.
void stretch_string(const BenchLog& bench, const RailSetup& rail, const Kit& kit, SetupSheet& sheet) {
  if (kit.truing != Kit::Truing::string) {
    return;
  }
  const auto [from_x_m, to_x_m] = bench.extent_x_m();
  const double span_m = (to_x_m - from_x_m) / rail.level.cosine;
  for (Support& support : sheet.supports) {
    const double at_m = (support.x_m - from_x_m) / rail.level.cosine;
    if (kit.string_tension_n > 0 && at_m > 0 && at_m < span_m) {
      support.string_sag_m = string_sag_m(kit.string_kg_m * kGravity, kit.string_tension_n, span_m, at_m);
    }
    support.string_m = kit.string_height_m - support.string_sag_m;
  }
}

/// Farthest edge of the opening cut from the rail's middle line, at the two ends.
double half_width_m(const SetupSheet& sheet) {
  double widest = 0;
  for (const EndMark* mark : {&sheet.small_end, &sheet.large_end}) {
    widest = std::max(
        {widest, mark->half_width_left_m - mark->rail_left_m, mark->half_width_right_m + mark->rail_left_m});
  }
  return widest;
}

void list_cuts(const CutPlan& job, SetupSheet& sheet) {
  for (const auto& cuts : {level_cuts(job), flitch_cuts(job), short_cuts(job)}) {
    sheet.cuts.insert(sheet.cuts.end(), cuts.begin(), cuts.end());
  }
  int order = 0;
  for (Cut& cut : sheet.cuts) {
    cut.order = ++order;
  }
}

}  // namespace

void require_usable(const SawPlan& plan, const Kit& kit) {
  require(plan.status == SawPlan::Status::ok, "only a plan with boards can be set up");
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

CutPlane opening_cut_plane(const SawPlan& plan, const SetupSheet& sheet) {
  const CutPlane& stack = plan.planes.at(sheet.opening_plane);
  return {stack.point_m + sheet.extra_cut_m * stack.normal, stack.normal};
}

SetupSheet set_up(const LogModel& log, const SawPlan& plan, const Kit& kit,
                  const HeightTolerance& tolerance) {
  require_usable(plan, kit);
  const BenchLog bench(log, plan.orientation.roll_rad);
  const std::vector<LevelPlane> planes = level_planes(plan);
  const double normal_depth_m = normal_saw_depth_m(plan, planes);
  const OpeningChoice opening = choose_opening(bench, planes, kit, plan.options.kerf_m, normal_depth_m);

  SetupSheet sheet;
  sheet.kit_name = kit.name;
  sheet.kit = kit;
  sheet.opening_reason = opening.reason;
  sheet.opening_works = opening.rail.works();
  sheet.roll_rad = plan.orientation.roll_rad;
  sheet.bark_walk_m = bark_walk_m(log, sheet.roll_rad);
  place_rail(opening.rail, kit, sheet);
  sheet.small_end = end_mark(bench, opening.rail.level, sheet, false, tolerance.small_end_m);
  sheet.large_end = end_mark(bench, opening.rail.level, sheet, true, tolerance.large_end_m);
  sheet.brackets = bracket_check(bench, opening.rail.level, sheet, half_width_m(sheet));
  stretch_string(bench, opening.rail, kit, sheet);

  const CutPlan job{bench, plan, kit, planes, opening.rail, density_of(log)};
  sheet.log_weight_kg = log.volume_m3() * job.density_kg_m3;
  list_cuts(job, sheet);
  sheet.flitches = flitch_layouts(job, sheet.cuts);
  lay_on_cants(job, sheet);
  sheet.balance = wood_balance(log, job, sheet.cuts);
  sheet.warnings = setup_facts(log, job, sheet);
  return sheet;
}

}  // namespace flitchwise::solver
