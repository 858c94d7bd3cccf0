#include "cuts.hpp"

#include <cmath>

namespace flitchwise::solver {
namespace {

/// What a level cut rides on, and how deep the saw must be set for it.
struct Ride {
  std::string rests_on;
  double saw_depth_m = 0;
};

/// From a sawn face the next plane lies a flitch and half a kerf away. Where that is less than the saw can be
/// set to, the rail goes between as a spacer.
Ride ride_on_face(const CutPlan& job, const std::string& face, double spacing_m) {
  const double depth_m = spacing_m - job.plan.options.kerf_m / 2;
  const double over_rail_m = depth_m + job.kit.rail_height_m;
  const bool rail_helps = over_rail_m >= job.kit.saw_depth_min_m && over_rail_m <= job.kit.saw_depth_max_m;
  if (depth_m < job.kit.saw_depth_min_m && rail_helps) {
    return {"rail laid on the " + face, over_rail_m};
  }
  return {face, depth_m};
}

/// Weight between two level planes, the kerf of each taken off; lower or upper may be absent.
double weight_between_kg(const CutPlan& job, const LevelPlane* lower, const LevelPlane* upper) {
  const double half_kerf_m = job.plan.options.kerf_m / 2;
  std::vector<HalfSpace> spaces;
  if (lower != nullptr) {
    spaces.push_back(above(*lower, half_kerf_m));
  }
  if (upper != nullptr) {
    spaces.push_back(below(*upper, -half_kerf_m));
  }
  return job.density_kg_m3 * job.log.volume_m3(spaces, 0, job.log.usable_length_m());
}

double spacing_m(const LevelPlane& upper, const LevelPlane& lower) {
  return lower.distance(upper.x_m, upper.z_m);
}

Cut level_cut(const CutPlan& job, std::size_t plane, Cut::Kind kind, const std::string& piece,
              const Ride& ride) {
  Cut cut;
  cut.kind = kind;
  cut.piece = piece;
  cut.rests_on = ride.rests_on;
  cut.plane = job.plan.planes[plane];
  cut.saw_depth_m = ride.saw_depth_m;
  cut.width_m = widest_cut_m(job.log, job.planes[plane]);
  cut.area_m2 = cut_area_m2(job.log, job.planes[plane]);
  return cut;
}

}  // namespace

double normal_saw_depth_m(const SawPlan& plan) {
  return plan.targets.front().thickness_m + plan.options.kerf_m / 2;
}

std::vector<Cut> level_cuts(const CutPlan& job) {
  const std::size_t opening = job.rail.plane;
  const auto& planes = job.planes;
  std::vector<Cut> cuts;
  cuts.push_back(level_cut(job, opening, Cut::Kind::opening, "log",
                           {"rail on its supports", job.rail.height.height_m + job.kit.rail_height_m}));
  cuts.back().piece_weight_kg = weight_between_kg(job, &planes[opening], nullptr);
  for (std::size_t i = opening; i-- > 0;) {
    const std::string face = i + 1 == opening ? "sawn face of the top piece, turned over flat side up"
                                              : "sawn face of the top piece";
    cuts.push_back(level_cut(job, i, Cut::Kind::level, "top piece",
                             ride_on_face(job, face, spacing_m(planes[i], planes[i + 1]))));
    cuts.back().piece_weight_kg = weight_between_kg(job, &planes[i + 1], &planes[i]);
  }
  for (std::size_t i = opening + 1; i < planes.size(); ++i) {
    cuts.push_back(level_cut(job, i, Cut::Kind::level, "log",
                             ride_on_face(job, "sawn face of the log", spacing_m(planes[i - 1], planes[i]))));
    cuts.back().piece_weight_kg = weight_between_kg(job, &planes[i], &planes[i - 1]);
  }
  return cuts;
}

}  // namespace flitchwise::solver
