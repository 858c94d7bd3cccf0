#include "tools/simulate/invent.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "scan/model/errors.hpp"
#include "tools/simulate/angles.hpp"
#include "tools/simulate/random.hpp"

namespace flitchwise::simulate {

namespace {

// One stream a matter: see Random.
constexpr std::uint64_t kSizeStream = 1;
constexpr std::uint64_t kBowStream = 2;
constexpr std::uint64_t kSectionStream = 3;
constexpr std::uint64_t kBarkStream = 4;
constexpr std::uint64_t kEndStream = 5;
constexpr std::uint64_t kKnotStream = 6;
constexpr std::uint64_t kStubStream = 7;
constexpr std::uint64_t kLumpStream = 8;
constexpr std::uint64_t kPlaceStream = 9;
constexpr std::uint64_t kBearerStream = 10;
constexpr std::uint64_t kNeighbourStream = 11;
constexpr std::uint64_t kWalkStream = 12;
constexpr std::uint64_t kHeavyStream = 13;

int counted(const char* what, int value, int low, int high) {
  require(value >= low && value <= high, "simulate: the number of " + std::string(what) + " is " +
                                             std::to_string(value) + " but must lie between " +
                                             std::to_string(low) + " and " + std::to_string(high));
  return value;
}

int count_up_to(Random& random, int most) {
  return static_cast<int>(random.below(static_cast<std::size_t>(most) + 1));
}

struct BumpRange {
  Bump::Kind kind = Bump::Kind::knot;
  double least_height_m = 0, most_height_m = 0, least_extent_m = 0, most_extent_m = 0;
};

constexpr BumpRange kKnotRange{Bump::Kind::knot, 0.006, 0.03, 0.06, 0.18};
constexpr BumpRange kStubRange{Bump::Kind::stub, 0.03, 0.12, 0.03, 0.07};
constexpr BumpRange kLumpRange{Bump::Kind::lump, 0.004, 0.015, 0.08, 0.25};

void add_bumps(LogShape& shape, Random& random, const BumpRange& range, int count) {
  constexpr double kFromEnd_m = 0.1;  // a stub on the cut's edge is sawn off by whoever cut the log
  for (int i = 0; i < count; ++i) {
    Bump bump;
    bump.kind = range.kind;
    bump.x_m = random.uniform(kFromEnd_m, shape.length_m - kFromEnd_m);
    bump.theta_rad = random.angle();
    bump.height_m = random.uniform(range.least_height_m, range.most_height_m);
    bump.extent_m = random.uniform(range.least_extent_m, range.most_extent_m);
    shape.bumps.push_back(bump);
  }
}

void draw_size(LogShape& shape, std::uint64_t seed, const LogWishes& wishes) {
  Random random(seed, kSizeStream);
  shape.length_m = wishes.length_m.value_or(random.uniform(2.5, 5));
  shape.small_end_diameter_m = wishes.small_end_diameter_m.value_or(random.uniform(0.2, 0.45));
  const double growth = random.uniform(0.005, 0.015) * shape.length_m;
  if (wishes.large_end_diameter_m && !wishes.small_end_diameter_m) {
    shape.small_end_diameter_m = std::min(shape.small_end_diameter_m, *wishes.large_end_diameter_m - growth);
  }
  shape.large_end_diameter_m = wishes.large_end_diameter_m.value_or(shape.small_end_diameter_m + growth);
}

void draw_bow(LogShape& shape, std::uint64_t seed, double hardness, const LogWishes& wishes) {
  Random random(seed, kBowStream);
  shape.sweep_m = wishes.sweep_m.value_or(random.uniform(0, 0.01 + 0.07 * hardness));
  shape.sweep_direction_rad = random.angle();
  const double swing = random.uniform(0, 0.02 * hardness);
  shape.s_sweep_m = wishes.s_sweep_m.value_or(random.chance(0.5) ? swing : 0);
  shape.s_sweep_direction_rad = random.angle();
}

void draw_section(LogShape& shape, std::uint64_t seed, double hardness, const LogWishes& wishes) {
  Random random(seed, kSectionStream);
  const double flare = random.uniform(0.02, 0.1 * (0.3 + hardness));
  shape.flare_m = wishes.flare_m.value_or(random.chance(0.6) ? flare : 0);
  shape.flare_reach_m = random.uniform(0.2, 0.5);
  const double waist = random.uniform(0, 0.05 * hardness) * shape.small_end_diameter_m / 0.3;
  shape.waist_m = wishes.waist_m.value_or(random.chance(0.4) ? waist : 0);
  shape.waist_place = random.uniform(0.25, 0.7);
  shape.waist_reach_m = random.uniform(0.3, 0.8);
  shape.ovality = wishes.ovality.value_or(random.uniform(1.01, 1.04 + 0.08 * hardness));
  shape.ovality_direction_rad = random.angle();
  shape.ovality_turn_rad = random.uniform(-0.8, 0.8);
  shape.irregularity_m = wishes.irregularity_m.value_or(random.uniform(0.0005, 0.001 + 0.004 * hardness));
}

void draw_bark(LogShape& shape, std::uint64_t seed, const LogWishes& wishes) {
  Random random(seed, kBarkStream);
  shape.bark_m = wishes.bark_m.value_or(random.uniform(0.005, 0.018));
  shape.bark_variation = random.uniform(0.1, 0.35);
  shape.bark_ridge_m = std::min(random.uniform(0.0005, 0.003), 0.35 * shape.bark_m);
}

void draw_ends(LogShape& shape, std::uint64_t seed, double hardness, const LogWishes& wishes) {
  constexpr double kMostTilt_rad = 0.12;
  Random random(seed, kEndStream);
  const double off = 0.02 + 0.08 * hardness;  // of the pith, as a share of the diameter
  for (Eigen::Vector2d* pith : {&shape.pith_small_end_m, &shape.pith_large_end_m}) {
    const double away = random.angle();
    *pith = random.uniform(0, off) * shape.small_end_diameter_m * direction_at(away);
  }
  shape.small_end_tilt_rad = wishes.end_tilt_rad.value_or(random.uniform(0, kMostTilt_rad));
  shape.small_end_tilt_direction_rad = random.angle();
  shape.large_end_tilt_rad = wishes.end_tilt_rad.value_or(random.uniform(0, kMostTilt_rad));
  shape.large_end_tilt_direction_rad = random.angle();
}

void draw_bumps(LogShape& shape, std::uint64_t seed, double hardness, const LogWishes& wishes) {
  Random knots(seed, kKnotStream);
  const int drawn_knots = count_up_to(knots, 4 + static_cast<int>(12 * hardness));
  add_bumps(shape, knots, kKnotRange, counted("knots", wishes.knots.value_or(drawn_knots), 0, 200));
  Random stubs(seed, kStubStream);
  const int drawn_stubs = count_up_to(stubs, static_cast<int>(4 * hardness));
  add_bumps(shape, stubs, kStubRange, counted("stubs", wishes.stubs.value_or(drawn_stubs), 0, 50));
  Random lumps(seed, kLumpStream);
  const int drawn_lumps = shape.bark_m > 0 ? count_up_to(lumps, 10) : 0;
  add_bumps(shape, lumps, kLumpRange, counted("bark lumps", wishes.lumps.value_or(drawn_lumps), 0, 200));
}

void draw_bearers(Scene& scene, std::uint64_t seed, const SceneWishes& wishes) {
  Random random(seed, kBearerStream);
  const bool three = random.chance(0.3);
  const int count = counted("bearers", wishes.bearers.value_or(three ? 3 : 2), 2, 3);
  scene.bearers.clear();
  const double base = random.uniform(0.12, 0.22);
  const double round = random.uniform();
  for (int i = 0; i < count; ++i) {
    Bearer bearer;
    bearer.place = i == 0 ? random.uniform(0.12, 0.25) : random.uniform(0.75, 0.88);
    if (count == 3 && i == 1) {
      bearer.place = random.uniform(0.42, 0.58);
    }
    bearer.height_m = base + random.uniform(-0.03, 0.03);
    bearer.width_m = random.uniform(0.1, 0.2);
    bearer.length_m = random.uniform(0.6, 1.1);
    bearer.round = round < 0.4;
    scene.bearers.push_back(bearer);
  }
}

void draw_neighbours(Scene& scene, std::uint64_t seed, double length_m, const SceneWishes& wishes) {
  constexpr double kBeside_m = 0.45;  // from the first neighbour of a side to its second
  Random random(seed, kNeighbourStream);
  const int drawn = random.chance(0.5) ? static_cast<int>(1 + random.below(2)) : 0;
  const int asked = wishes.neighbours.value_or(wishes.ground ? drawn : 0);
  const int count = counted("neighbours", asked, 0, 4);
  const double first_side = random.chance(0.5) ? 1 : -1;
  for (int i = 0; i < count; ++i) {
    Neighbour other;
    other.side = i % 2 == 0 ? first_side : -first_side;
    other.gap_m = random.uniform(0.12, 0.45) + (i < 2 ? 0 : kBeside_m);
    other.diameter_m = random.uniform(0.18, 0.35);
    other.length_m = length_m * random.uniform(0.5, 1.1);
    other.shift_m = length_m * random.uniform(-0.2, 0.2);
    other.turn_rad = random.uniform(-0.06, 0.06);
    scene.neighbours.push_back(other);
  }
}

void make_heavy(Scene& scene, std::uint64_t seed, const SceneWishes& wishes) {
  constexpr double kSteepest_rad = 20 * std::numbers::pi / 180;
  Random random(seed, kHeavyStream);
  const double rise = std::tan(random.uniform(0, kSteepest_rad));
  const double way = random.angle();
  scene.slope = rise * direction_at(way);
  scene.unevenness_m = random.uniform(0.015, 0.04);
  scene.grass_m = wishes.grass_m.value_or(random.uniform(0.05, 0.15));
  if (!wishes.neighbours) {
    scene.neighbours.clear();  // the clutter has its own, which touch the log
  }
  scene.clutter_seed = seed;
}

}  // namespace

LogShape random_log(std::uint64_t seed, const LogWishes& wishes) {
  Random random(seed, 0);
  const double drawn = random.uniform();
  const double hardness = wishes.hardness.value_or(drawn);
  require(hardness >= 0 && hardness <= 1,
          "simulate: hardness is " + std::to_string(hardness) + " but must lie between 0 and 1");
  LogShape shape;
  shape.detail_seed = seed;
  draw_size(shape, seed, wishes);
  require(shape.length_m >= 0.3,
          "simulate: length_m is " + std::to_string(shape.length_m) + " but must be at least 0.3");
  draw_bow(shape, seed, hardness, wishes);
  draw_section(shape, seed, hardness, wishes);
  draw_bark(shape, seed, wishes);
  draw_ends(shape, seed, hardness, wishes);
  draw_bumps(shape, seed, hardness, wishes);
  check(shape);
  return shape;
}

Scene random_scene(std::uint64_t seed, double length_m, const SceneWishes& wishes) {
  Random random(seed, kPlaceStream);
  Scene scene;
  scene.detail_seed = seed;
  scene.ground = wishes.ground;
  scene.position_m = {random.uniform(-4, 4), random.uniform(-4, 4), random.uniform(-1, 1)};
  scene.yaw_rad = random.angle();
  scene.slope = {random.uniform(-0.04, 0.04), random.uniform(-0.04, 0.04)};
  scene.unevenness_m = random.uniform(0.004, 0.02);
  scene.ground_margin_m = random.uniform(0.5, 0.9);
  const double tall = random.uniform(0.03, 0.15);
  scene.grass_m = wishes.grass_m.value_or(random.chance(0.6) ? tall : 0);
  Stump stump;
  stump.place_m = {random.uniform(-0.6, -0.2), random.uniform(0.5, 0.7) * (random.chance(0.5) ? 1 : -1)};
  stump.diameter_m = random.uniform(0.2, 0.4);
  stump.height_m = random.uniform(0.1, 0.35);
  if (random.chance(0.3) && wishes.ground) {
    scene.stump = stump;
  }
  draw_bearers(scene, seed, wishes);
  draw_neighbours(scene, seed, length_m, wishes);
  if (wishes.heavy_clutter) {
    make_heavy(scene, seed, wishes);
  }
  check(scene);
  return scene;
}

Scanner with_random_walk(Scanner scanner, std::uint64_t seed) {
  Random random(seed, kWalkStream);
  scanner.rings.clear();
  const std::size_t rings = 1 + random.below(2);
  for (std::size_t i = 0; i < rings; ++i) {
    Ring ring;
    ring.height_m = random.uniform(1.2, 1.8);
    ring.distance_m = random.uniform(1.3, 1.9);
    ring.cameras = static_cast<int>(30 + random.below(25));
    scanner.rings.push_back(ring);
  }
  check(scanner);
  return scanner;
}

}  // namespace flitchwise::simulate
