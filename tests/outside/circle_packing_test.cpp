// Published: most unit squares in parallel rows in a circle. With no kerf, this is live sawing of a cylinder.
//
//   OEIS A374505 (D. Dewan, 2024): circle of diameter n, rows at the best offset.
//   OEIS A125228 (F. Aluffi Pentini, 2007): circle of radius n, one row centred on the circle's centre.
//   The largest square in a circle of diameter D has the side D / sqrt(2) (elementary).

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "solver/search/evaluate.hpp"
#include "solver/search/search.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

constexpr std::array<int, 52> kBestRows{0,    0,    1,    4,    8,    14,   21,   29,   40,   52,   65,
                                        81,   97,   116,  135,  156,  180,  203,  229,  258,  286,  317,
                                        350,  383,  419,  455,  495,  536,  575,  620,  664,  711,  761,
                                        808,  860,  916,  966,  1024, 1079, 1140, 1200, 1261, 1326, 1391,
                                        1458, 1528, 1595, 1666, 1741, 1814, 1892, 1972};  // n = 0, 1, ...
constexpr std::array<int, 47> kCentredRows{1,    7,    21,   39,   65,   93,   135,  179,  227,  285,
                                           349,  415,  495,  573,  663,  759,  859,  963,  1071, 1199,
                                           1325, 1457, 1591, 1735, 1891, 2049, 2207, 2383, 2557, 2735,
                                           2929, 3123, 3327, 3529, 3739, 3955, 4191, 4427, 4665, 4901,
                                           5159, 5413, 5681, 5951, 6231, 6515, 6799};  // n = 1, 2, ...

constexpr double kUnit_m = 0.1;
constexpr int kAngles = 1440;
// The polygon around the circle, and squares that touch it exactly: some of the published plans do.
constexpr double kTouch_m = 2.5e-5;

LogModel disc_log(double diameter_m) {
  test::LogShape shape;
  shape.length_m = 0.5;
  shape.radius_m = (diameter_m / 2 + kTouch_m) / std::cos(std::numbers::pi / kAngles);
  return test::make_log(shape, 21, kAngles);
}

solver::SearchOptions plain_options() {
  solver::SearchOptions options;
  options.kerf_m = 0;
  options.rip_kerf_m = 0;
  options.sigmas = 0;
  options.most_pitch = 0;
  options.as_it_lies = true;
  options.tolerance_m = 0.0005;
  options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
  options.most_nodes = 20000;
  return options;
}

}  // namespace

TEST_CASE("unit squares in parallel rows at the best offset: OEIS A374505") {
  const solver::Target target{"", kUnit_m, kUnit_m, 0.5};
  for (std::size_t n = 1; n < kBestRows.size(); ++n) {
    CAPTURE(n);
    const LogModel log = disc_log(static_cast<double>(n) * kUnit_m);
    const solver::SawPlan plan = solver::search(log, {target}, plain_options());
    CHECK(plan.proof.boards == kBestRows.at(n));
    CHECK(plan.proof.upper_bound >= kBestRows.at(n));
  }
}

TEST_CASE("unit squares in parallel rows, one row in the middle: OEIS A125228") {
  const solver::Target target{"", kUnit_m, kUnit_m, 0.5};
  for (std::size_t i = 0; i < kCentredRows.size(); ++i) {
    CAPTURE(i);
    const auto diameter_m = 2 * static_cast<double>(i + 1) * kUnit_m;
    const solver::Job job = solver::make_job(disc_log(diameter_m), {target}, plain_options());
    solver::RolledLog log(job, 0);
    CHECK(solver::worth_at(log, {0, 0, kUnit_m / 2, solver::endless_stack(job)}, 0) == kCentredRows.at(i));
  }
}

TEST_CASE("the largest square timber in a circle has the side D / sqrt(2)") {
  constexpr double kDiameter_m = 0.3;
  constexpr double kHair_m = 0.0002;
  const double side_m = kDiameter_m / std::numbers::sqrt2;
  const LogModel log = disc_log(kDiameter_m);
  const auto boards = [&](double edge_m) {
    return solver::search(log, {{"", edge_m, edge_m, 0.5}}, plain_options()).proof.boards;
  };
  CHECK(boards(side_m - kHair_m) == 1);
  CHECK(boards(side_m + kHair_m) == 0);
}

}  // namespace flitchwise
