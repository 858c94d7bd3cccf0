// Several sizes, cants, pith, grain, chosen rolls and wane.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;
using solver::Pattern;
using solver::SawPlan;
using solver::SearchOptions;
using solver::Target;

constexpr int kStations = 41;
constexpr int kAngles = 96;
constexpr double kRounding_m = 1e-6;
// A polygon of 360 sides lies inside its circle by up to R (1 - cos(0.5 degrees)), 6 micrometres at 150 mm.
constexpr int kCircleAngles = 360;

LogModel log_of(std::uint64_t seed) {
  return test::make_log(test::random_shape(seed), kStations, kAngles);
}

LogModel cylinder(double radius_m, double length_m) {
  test::LogShape shape;
  shape.length_m = length_m;
  shape.radius_m = radius_m;
  return test::make_log(shape, 11, kCircleAngles);
}

SearchOptions options_of(Pattern pattern = Pattern::live) {
  SearchOptions options;
  options.sigmas = 0;
  options.pattern = pattern;
  options.time_limit_s = 60;
  options.tolerance_m = 0.002;
  return options;
}

/// The most that a cylinder gives over a grid of heights, written without the solver's code: every sequence
/// of layers from every height, every choice of boards in a layer.
class CylinderGrid {
 public:
  CylinderGrid(double radius_m, std::vector<Target> targets, SearchOptions options)
      : radius_m_(radius_m), targets_(std::move(targets)), options_(std::move(options)) {}

  double best(bool cant) {
    slots_ = static_cast<int>(2 * radius_m_ / kStep_m);
    double most = 0;
    std::vector<std::vector<double>> from(2, std::vector<double>(static_cast<std::size_t>(slots_) + 1, 0));
    from[1].assign(from[1].size(), -1e9);
    for (int slot = slots_ - 1; slot >= 0; --slot) {
      const auto at = static_cast<std::size_t>(slot);
      for (int left = 0; left < 2; ++left) {
        double& here = from[static_cast<std::size_t>(left)][at];
        here = from[static_cast<std::size_t>(left)][at + 1];
        for (const Target& t : targets_) {
          here = std::max(here, layer(slot, t.thickness_m, false) +
                                    next(from[static_cast<std::size_t>(left)], slot, t.thickness_m));
          if (left == 1) {
            here = std::max(here, layer(slot, t.width_m, true) + next(from[0], slot, t.width_m));
          }
        }
      }
    }
    most = cant ? from[1][0] : from[0][0];
    return most;
  }

 private:
  static constexpr double kStep_m = 0.001;

  double next(const std::vector<double>& from, int slot, double thickness_m) const {
    const int after = slot + static_cast<int>(std::ceil((thickness_m + options_.kerf_m) / kStep_m - 1e-9));
    return from[static_cast<std::size_t>(std::min(after, slots_))];
  }

  double layer(int slot, double thickness_m, bool on_edge) const {
    const double low = slot * kStep_m - radius_m_;
    const double high = low + thickness_m;
    const double far = std::max(std::abs(low), std::abs(high));
    if (far >= radius_m_) {
      return 0;
    }
    const double half = std::sqrt(radius_m_ * radius_m_ - far * far);
    const double zone = options_.keep_pith_out_m / 2;
    const double off = std::max({low, -high, 0.0});
    if (off >= zone) {
      return pack(2 * half, thickness_m, on_edge);
    }
    const double taken = std::sqrt(zone * zone - off * off);
    return 2 * pack(half - taken, thickness_m, on_edge);
  }

  /// Most value side by side.
  double pack(double room, double thickness_m, bool on_edge) const {
    double most = 0;
    for (const Target& t : targets_) {
      const double across = on_edge ? t.thickness_m : t.width_m;
      if ((on_edge ? t.width_m : t.thickness_m) == thickness_m && across <= room) {
        const double kerf = on_edge ? options_.kerf_m : options_.rip_kerf_m;
        most = std::max(most, t.value + pack(room - across - kerf, thickness_m, on_edge));
      }
    }
    return most;
  }

  double radius_m_;
  std::vector<Target> targets_;
  SearchOptions options_;
  int slots_ = 0;
};

void check_whole(const LogModel& log, const SawPlan& plan) {
  REQUIRE(plan.status == SawPlan::Status::ok);
  CHECK(test::worst_overhang_m(log, plan) < kRounding_m);
  CHECK(test::worst_size_error_m(plan) < kRounding_m);
  CHECK(test::least_plane_distance_m(plan) > plan.options.kerf_m / 2 - kRounding_m);
  CHECK(test::least_gap_m(plan) > std::min(plan.options.kerf_m, plan.options.rip_kerf_m) - kRounding_m);
  double value = 0;
  for (const solver::Board& board : plan.boards) {
    value += plan.targets.at(board.target).value;
  }
  CHECK_THAT(plan.value, WithinAbs(value, 1e-9));
  CHECK(plan.proof.upper_value >= plan.proof.value);
}

/// Distance of a board's section from the pith, least over its length.
double pith_distance_m(const LogModel& log, const solver::Board& board) {
  constexpr int kParts = 200;
  const auto& c = board.corners_m;
  const Eigen::Vector3d along = (c[4] - c[0]) / kParts;
  const Eigen::Vector3d across = c[0] - c[1];
  const Eigen::Vector3d up = c[3] - c[0];
  double least = 1;
  for (int i = 0; i <= kParts; ++i) {
    const Eigen::Vector3d corner = c[1] + i * along;
    const Eigen::Vector2d pith = log.pith_at(corner.x());
    const Eigen::Vector3d to = Eigen::Vector3d(corner.x(), pith.x(), pith.y()) - corner;
    const double a = std::clamp(to.dot(across) / across.squaredNorm(), 0.0, 1.0);
    const double u = std::clamp(to.dot(up) / up.squaredNorm(), 0.0, 1.0);
    least = std::min(least, (to - a * across - u * up).norm());
  }
  return least;
}

}  // namespace

TEST_CASE("mixed sizes in a cylinder: never less than an exhaustive grid, the bound never below it") {
  const std::vector<std::vector<Target>> mixes{
      {{"", 0.05, 0.15, 2, 3}, {"", 0.025, 0.1, 2, 1}},
      {{"", 0.05, 0.15, 2}, {"", 0.03, 0.1, 2}},
      {{"", 0.04, 0.12, 2, 2}, {"", 0.04, 0.08, 2, 1.3}, {"", 0.022, 0.08, 2, 0.6}}};
  for (const std::vector<Target>& targets : mixes) {
    for (const double radius_m : {0.12, 0.155}) {
      CAPTURE(radius_m, targets.size(), targets.front().width_m);
      const SearchOptions options = options_of();
      const double grid = CylinderGrid(radius_m - 1e-5, targets, options).best(false);
      const SawPlan plan = solver::search(cylinder(radius_m, 2), targets, options);
      CHECK(plan.value >= grid - 1e-9);
      CHECK(plan.proof.upper_value >= grid - 1e-9);
      CHECK(grid > 0);
      check_whole(cylinder(radius_m, 2), plan);
    }
  }
}

TEST_CASE("one cant in a cylinder: never less than an exhaustive grid") {
  const std::vector<Target> targets{{"", 0.05, 0.15, 2}};
  for (const double radius_m : {0.125, 0.15, 0.171}) {
    CAPTURE(radius_m);
    const LogModel log = cylinder(radius_m, 2);
    const SawPlan plan = solver::search(log, targets, options_of(Pattern::cant));
    const double grid = CylinderGrid(radius_m - 1e-5, targets, options_of()).best(true);
    CHECK(plan.value >= grid - 1e-9);
    CHECK(plan.proof.upper_value >= grid - 1e-9);
    check_whole(log, plan);
    CHECK(std::count_if(plan.flitches.begin(), plan.flitches.end(), [](const solver::Flitch& flitch) {
            return flitch.kind == solver::Flitch::Kind::cant;
          }) == 1);
    const SawPlan live = solver::search(log, targets, options_of());
    const SawPlan best = solver::search(log, targets, options_of(Pattern::best));
    CHECK(best.value == std::max(live.value, plan.value));
    if (live.value >= plan.value) {  // a tie needs no turn
      CHECK(best.orientation.height_m == live.orientation.height_m);
    }
  }
}

TEST_CASE("squares in a circle stand as well as they lie") {
  // n x n squares of side s with kerf k fill a square of side n s + (n - 1) k: the circle's diameter is
  // sqrt(2) times that.
  for (const int n : {2, 3}) {
    SearchOptions options = options_of(Pattern::cant);
    const double side_m = n * 0.06 + (n - 1) * options.kerf_m;
    const double radius_m = side_m / std::numbers::sqrt2;
    const std::vector<Target> targets{{"", 0.06, 0.06, 2}};
    CHECK(solver::search(cylinder(radius_m + 0.0005, 2), targets, options).boards.size() >=
          static_cast<std::size_t>(n * n));
    if (n == 2) {
      CHECK(solver::search(cylinder(radius_m - 0.0005, 2), targets, options).boards.size() < 4);
    }
  }
}

TEST_CASE("the pith zone stays out of every board, and no more is lost for it than must be") {
  SearchOptions options = options_of();
  options.keep_pith_out_m = 0.03;
  const std::vector<Target> targets{{"", 0.05, 0.1, 2}};
  for (const double radius_m : {0.12, 0.14}) {
    CAPTURE(radius_m);
    const LogModel log = cylinder(radius_m, 2);
    const SawPlan plan = solver::search(log, targets, options);
    const double grid = CylinderGrid(radius_m - 1e-5, targets, options).best(false);
    CHECK(plan.value >= grid - 1e-9);
    CHECK(plan.proof.upper_value >= grid - 1e-9);
    check_whole(log, plan);
  }
  options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
  options.most_nodes = 800;      // any plan must hold to the limit
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    CAPTURE(seed);
    LogModel log = log_of(seed);
    log.pith.small_end_m = {0.01, -0.005};
    log.pith.large_end_m = {-0.012, 0.008};
    const SawPlan plan = solver::search(log, {{"", 0.05, 0.1, 2.5}}, options);
    check_whole(log, plan);
    for (const solver::Board& board : plan.boards) {
      CHECK(pith_distance_m(log, board) > options.keep_pith_out_m / 2 - 1e-5);
    }
  }
}

TEST_CASE("the slope of grain keeps its limit; boards along the pith have none") {
  const SawPlan straight = solver::search(cylinder(0.12, 2), {{"", 0.05, 0.1, 2}}, options_of());
  for (const solver::Board& board : straight.boards) {
    CHECK_THAT(board.grain_slope, WithinAbs(std::abs(straight.orientation.pitch), 1e-6));
  }
  SearchOptions options = options_of(Pattern::cant);
  options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
  options.most_nodes = 800;      // any plan must hold to the limit
  options.most_grain_slope = 0.004;
  for (const std::uint64_t seed : {4U, 5U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    const SawPlan plan = solver::search(log, {{"", 0.05, 0.1, 2.5}}, options);
    check_whole(log, plan);
    for (const solver::Board& board : plan.boards) {
      CHECK(board.grain_slope <= options.most_grain_slope + 1e-9);
    }
  }
}

TEST_CASE("a log that rests only on some sides is planned for one of them") {
  SearchOptions options = options_of();
  options.time_limit_s = 120;
  const std::vector<Target> targets{{"", 0.05, 0.15, 2.5}};
  for (const std::uint64_t seed : {6U, 7U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    double most = 0;
    for (const double roll : {0.3, 2.0}) {
      options.roll_only_rad = {roll};
      most = std::max(most, solver::search(log, targets, options).value);
    }
    options.roll_only_rad = {0.3, 2.0};
    const SawPlan plan = solver::search(log, targets, options);
    CHECK(plan.value == most);
    CHECK((plan.orientation.roll_rad == 0.3 || plan.orientation.roll_rad == 2.0));
  }
}

TEST_CASE("with wane a board fits once its chamfered section does") {
  // 40 x 120 with a tenth of wane: corners at (60, 20 - 4) and (60 - 12, 20) mm from the middle.
  const double radius_m = std::max(std::hypot(0.06, 0.016), std::hypot(0.048, 0.02));
  const std::vector<Target> targets{{"", 0.04, 0.12, 2, 1, 0.1}};
  CHECK(solver::search(cylinder(radius_m + 0.0001, 2), targets, options_of()).boards.size() == 1);
  CHECK(solver::search(cylinder(radius_m - 0.0001, 2), targets, options_of()).boards.empty());
}

TEST_CASE("chamfered boards lie in the log; wane never costs a board") {
  SearchOptions options = options_of();
  options.time_limit_s = 120;
  options.tolerance_m = 0.004;
  for (const std::uint64_t seed : {8U, 9U}) {
    CAPTURE(seed);
    const LogModel log = log_of(seed);
    const double share = 0.15;
    const SawPlan plan = solver::search(log, {{"", 0.05, 0.12, 2.5, 1, share}}, options);
    const SawPlan sharp = solver::search(log, {{"", 0.05, 0.12, 2.5}}, options);
    CHECK(plan.value >= sharp.value);
    // The chamfered section is the hull of two boxes, one narrower and one thinner; outlines are convex.
    for (const auto& [narrower, thinner] : {std::pair{share, 0.0}, std::pair{0.0, share}}) {
      SawPlan boxes = plan;
      for (solver::Board& board : boxes.boards) {
        const auto c = board.corners_m;
        const Eigen::Vector3d in = narrower * (c[1] - c[0]);
        const Eigen::Vector3d up = thinner * (c[3] - c[0]);
        for (std::size_t i = 0; i < c.size(); ++i) {
          const bool left = i % 4 == 0 || i % 4 == 3;
          board.corners_m[i] = c[i] + (left ? 1 : -1) * in + (i % 4 < 2 ? 1 : -1) * up;
        }
      }
      CHECK(test::worst_overhang_m(log, boxes) < 1e-5);
    }
  }
}

TEST_CASE("mixed lengths lie end to end, and the threads change nothing") {
  SearchOptions options = options_of();
  options.tolerance_m = 0.005;
  options.time_limit_s = 300;
  const std::vector<Target> targets{{"", 0.05, 0.12, 1.8, 1.9}, {"", 0.05, 0.12, 1.2, 1.2}};
  const LogModel log = cylinder(0.1, 3.2);
  options.threads = 1;
  const SawPlan one = solver::search(log, targets, options);
  options.threads = 2;
  const SawPlan two = solver::search(log, targets, options);
  check_whole(log, one);
  CHECK(one.value == two.value);
  CHECK(one.orientation.height_m == two.orientation.height_m);
  CHECK(one.proof.nodes == two.proof.nodes);
  // One of each length in every flitch is worth 3.1 on 3.2 m, two short ones 2.4.
  for (const solver::Flitch& flitch : one.flitches) {
    double value = 0;
    for (const std::size_t board : flitch.boards) {
      value += targets[one.boards[board].target].value;
    }
    CHECK_THAT(std::fmod(value + 1e-9, 3.1), WithinAbs(0, 1e-6));
  }
}

TEST_CASE("too many sizes, bad values and bad wane are refused") {
  const LogModel log = cylinder(0.12, 2);
  CHECK_THROWS_AS(solver::search(log, {}, {}), BadUse);
  CHECK_THROWS_AS(solver::search(log, std::vector<Target>(5000, {"", 0.05, 0.1, 2}), {}), BadUse);
  CHECK_THROWS_AS(solver::search(log, {{"", 0.05, 0.1, 2, 0}}, {}), BadUse);
  CHECK_THROWS_AS(solver::search(log, {{"", 0.05, 0.1, 2, 1, 0.5}}, {}), BadUse);
  SearchOptions options;
  options.roll_only_rad = {std::nan("")};
  CHECK_THROWS_AS(solver::search(log, {{"", 0.05, 0.1, 2}}, options), BadUse);
}

}  // namespace flitchwise
