// Shorter boards out of what the full-length boards leave.

#include "solver/search/short_boards.hpp"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <set>
#include <vector>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"
#include "solver/setup/setup.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using solver::SawPlan;
using solver::SearchOptions;
using solver::ShortBoard;
using solver::Target;
using Source = solver::ShortBoard::Source;

constexpr double kRounding_m = 1e-6;

SearchOptions options_with(std::vector<double> lengths_m) {
  SearchOptions options;
  options.time_limit_s = 3600;
  options.most_nodes = 1500;  // which boards are left does not matter here
  options.short_lengths_m = std::move(lengths_m);
  return options;
}

/// Full-length and shorter boards as one plan, for checks that know no difference between them.
SawPlan all_boards(const SawPlan& plan) {
  SawPlan all = plan;
  for (const ShortBoard& each : plan.short_boards) {
    Target target = plan.targets.at(each.target);
    target.length_m = each.length_m;
    solver::Board board;
    board.id = each.id;
    board.flitch = each.flitch;
    board.target = all.targets.size();
    board.corners_m = each.corners_m;
    all.targets.push_back(target);
    all.boards.push_back(board);
  }
  return all;
}

void check_sound(const LogModel& log, const SawPlan& plan) {
  const SawPlan all = all_boards(plan);
  CHECK(test::worst_overhang_m(log, all) < kRounding_m);
  CHECK(test::worst_size_error_m(all) < kRounding_m);
  CHECK(test::least_gap_m(all) > std::min(plan.options.kerf_m, plan.options.rip_kerf_m) - kRounding_m);
}

using FaceCorners = std::array<std::size_t, 4>;
constexpr std::array<FaceCorners, 6> kFaces{
    {{0, 1, 2, 3}, {4, 5, 6, 7}, {0, 3, 4, 7}, {1, 2, 5, 6}, {0, 1, 4, 5}, {2, 3, 6, 7}}};

/// Every face lies half a kerf beside a cut that is parallel to it.
bool is_sawn(const ShortBoard& board, const FaceCorners& face, const std::vector<solver::Cut>& cuts,
             double half_kerf_m) {
  constexpr double kTrim_m = 0.0011;  // ends may come out a millimetre long
  return std::any_of(cuts.begin(), cuts.end(), [&](const solver::Cut& cut) {
    double least = std::numeric_limits<double>::infinity();
    double most = -least;
    for (const std::size_t corner : face) {
      const double off = cut.plane.normal.dot(board.corners_m.at(corner) - cut.plane.point_m);
      least = std::min(least, off);
      most = std::max(most, off);
    }
    return most - least < kTrim_m && std::abs(std::abs(least + most) / 2 - half_kerf_m) < kTrim_m;
  });
}

}  // namespace

TEST_CASE("shorter boards lie in the wood, apart from all others, and every face of them is sawn",
          "[short]") {
  struct Case {
    std::uint64_t seed;
    solver::Pattern pattern;
    double pith_out_m;
    std::vector<Target> targets;
  };
  const Target plank{"", 0.05, 0.15, 2.5};
  const Target batten{"", 0.025, 0.1, 2.4, 0.3};
  const Target stake{"", 0.05, 0.06, 3.7};
  constexpr std::uint64_t kTapered = 0;  // no random shape: it widens by 20 mm a metre
  std::set<Source> sources;
  for (const Case& c :
       {Case{1, solver::Pattern::live, 0, {plank}}, Case{2, solver::Pattern::live, 0.03, {plank}},
        Case{3, solver::Pattern::cant, 0, {plank}}, Case{4, solver::Pattern::live, 0, {plank, batten}},
        Case{5, solver::Pattern::live, 0, {plank}}, Case{kTapered, solver::Pattern::live, 0, {stake}}}) {
    CAPTURE(c.seed);
    test::LogShape shape = test::random_shape(c.seed);
    if (c.seed == kTapered) {
      shape = {};
      shape.radius_m = 0.12;
      shape.taper_m_per_m = 0.02;
    }
    const LogModel log = test::make_log(shape, 61, 90);
    SearchOptions options = options_with({2.0, 1.2, 0.8});
    options.pattern = c.pattern;
    options.keep_pith_out_m = c.pith_out_m;
    SawPlan plan = solver::search(log, c.targets, options);
    REQUIRE(plan.status == SawPlan::Status::ok);
    const SawPlan before = plan;
    solver::add_short_boards(log, plan);
    REQUIRE(plan.boards.size() == before.boards.size());
    CHECK(plan.value == before.value);
    CHECK(plan.proof.boards == static_cast<int>(plan.boards.size()));
    CHECK_FALSE(plan.short_boards.empty());
    check_sound(log, plan);
    const solver::SetupSheet sheet = solver::set_up(log, plan, solver::plain_kit(), {});
    for (const ShortBoard& board : plan.short_boards) {
      sources.insert(board.source);
      CAPTURE(board.id, static_cast<int>(board.source));
      for (const FaceCorners& face : kFaces) {
        CAPTURE(face[0], face[1], board.length_m, board.strip, board.flitch);
        CHECK(is_sawn(board, face, sheet.cuts, plan.options.kerf_m / 2));
      }
    }
  }
  for (const Source s : sources) {
    UNSCOPED_INFO("source " << static_cast<int>(s));
  }
  CHECK(sources.size() >= 5);  // not all out of the same kind of piece
}

TEST_CASE("both jackets of a straight cylinder give what its chords are wide enough for", "[short]") {
  test::LogShape shape;  // 4 m
  shape.radius_m = 0.2;
  const LogModel log = test::make_log(shape, 61, 360);
  const double kerf_m = 0.01;
  SearchOptions options = options_with({1.9});
  options.kerf_m = options.rip_kerf_m = options.crosscut_kerf_m = kerf_m;
  // One square timber: 0.2 m high and wide, so that its jackets are 0.1 m high less a kerf.
  const std::vector<Target> targets{{"", 0.2, 0.2, 3.95}};
  SawPlan plan = solver::plan_at(log, targets, options, {0, 0, 0.1 + kerf_m / 2});
  REQUIRE(plan.boards.size() == 1);
  solver::add_short_boards(log, plan);
  CHECK(plan.short_boards.empty());  // none is 0.2 m thick
  // Planks of 0.05 m beside two middle ones.
  const std::vector<Target> planks{{"", 0.05, 0.15, 3.95}};
  for (const double top_m : {0.12, 0.1, 0.08}) {
    CAPTURE(top_m);
    plan = solver::plan_at(log, planks, options, {0, 0, top_m + kerf_m / 2});
    REQUIRE(plan.status == SawPlan::Status::ok);
    // Only the first plane's own jacket: what it gave in full length was taken away by hand.
    solver::add_short_boards(log, plan);
    int expected = 0;
    const auto across = [&](double z_m) {  // at the face farther from the middle
      const double chord_m = 2 * std::sqrt(std::max(0.0, 0.2 * 0.2 - z_m * z_m));
      return static_cast<int>(std::floor((chord_m + kerf_m) / (0.15 + kerf_m)));
    };
    for (double face_m = plan.orientation.height_m + kerf_m / 2 + 0.05; face_m < 0.2;
         face_m += 0.05 + kerf_m) {
      expected += 2 * across(face_m);
    }
    const auto top = std::count_if(plan.short_boards.begin(), plan.short_boards.end(),
                                   [](const ShortBoard& b) { return b.source == Source::top_jacket; });
    CHECK(top == expected);
    CHECK(expected > 0);
    check_sound(log, plan);
  }
}

TEST_CASE("the end of a log beyond its boards gives as many short ones side by side", "[short]") {
  test::LogShape shape;  // 4 m, straight and round
  shape.radius_m = 0.2;
  const LogModel log = test::make_log(shape, 61, 180);
  SawPlan plan = solver::search(log, {{"", 0.05, 0.15, 2.4}}, options_with({0.7}));
  REQUIRE(plan.status == SawPlan::Status::ok);
  solver::add_short_boards(log, plan);
  const auto ends = std::count_if(
      plan.short_boards.begin(), plan.short_boards.end(),
      [](const ShortBoard& b) { return b.source == Source::small_end || b.source == Source::large_end; });
  // 1.6 m are left: two lengths of 0.7 m at one end, or one at either end, or one if the boards lie badly.
  CHECK(ends >= static_cast<int>(plan.boards.size()));
  check_sound(log, plan);
}

TEST_CASE("no shorter lengths, no shorter boards; lengths out of range are a caller's mistake", "[short]") {
  const LogModel log = test::make_log(test::random_shape(1), 61, 90);
  SawPlan plan = solver::search(log, {{"", 0.05, 0.15, 2.5}}, options_with({}));
  solver::add_short_boards(log, plan);
  CHECK(plan.short_boards.empty());
  for (const double bad_m : {2.5, 3.0, 0.0, -1.0, 0.05, std::numeric_limits<double>::quiet_NaN()}) {
    plan.options.short_lengths_m = {bad_m};
    CHECK_THROWS_AS(solver::add_short_boards(log, plan), BadUse);
  }
  SawPlan none;
  CHECK_THROWS_AS(solver::add_short_boards(log, none), BadUse);
}

}  // namespace flitchwise
