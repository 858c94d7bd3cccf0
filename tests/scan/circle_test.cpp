#include "scan/find/circle.hpp"

#include <Eigen/QR>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

namespace {

using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;
using std::numbers::pi;
using Flat = std::vector<Eigen::Vector2d>;

constexpr double kExact_m = 1e-5;  // refine_circle stops at steps of this size

const Circle kTrue{{0.31, -0.12}, 0.17};

Flat arc(const Circle& circle, double from_rad, double to_rad, int count) {
  Flat points;
  for (int i = 0; i < count; ++i) {
    const double theta = from_rad + (to_rad - from_rad) * i / count;
    points.emplace_back(circle.centre_m +
                        circle.radius_m * Eigen::Vector2d(std::cos(theta), std::sin(theta)));
  }
  return points;
}

void jitter(Flat& points, double sigma_m, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal(0, sigma_m);
  for (auto& p : points) {
    p += Eigen::Vector2d(normal(random), normal(random));
  }
}

/// Points anywhere in a square of this half side around the circle's middle.
void add_clutter(Flat& points, int count, double half_m, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::uniform_real_distribution<double> uniform(-half_m, half_m);
  for (int i = 0; i < count; ++i) {
    points.emplace_back(kTrue.centre_m + Eigen::Vector2d(uniform(random), uniform(random)));
  }
}

/// Kasa's algebraic circle: least squares on x^2 + y^2 = 2 a x + 2 b y + c. Exact on clean data.
Circle algebraic(const Flat& points) {
  Eigen::MatrixX3d design(static_cast<Eigen::Index>(points.size()), 3);
  Eigen::VectorXd right(design.rows());
  for (Eigen::Index i = 0; i < design.rows(); ++i) {
    const Eigen::Vector2d& p = points[static_cast<std::size_t>(i)];
    design.row(i) << 2 * p.x(), 2 * p.y(), 1;
    right[i] = p.squaredNorm();
  }
  const Eigen::Vector3d s = design.colPivHouseholderQr().solve(right);
  return {s.head<2>(), std::sqrt(s[2] + s.head<2>().squaredNorm())};
}

void check_near(const Circle& found, const Circle& expected, double tolerance_m) {
  CHECK_THAT((found.centre_m - expected.centre_m).norm(), WithinAbs(0, tolerance_m));
  CHECK_THAT(found.radius_m, WithinAbs(expected.radius_m, tolerance_m));
}

}  // namespace

TEST_CASE("an exact circle is found and refined to its closed form", "[circle]") {
  const Flat points = arc(kTrue, 0, 2 * pi, 120);
  const auto found = find_circle(points, {});
  REQUIRE(found);
  check_near(*found, kTrue, kExact_m);
  check_near(refine_circle({kTrue.centre_m + Eigen::Vector2d(0.012, -0.008), 0.18}, points, 0.03, 1e-6),
             kTrue, kExact_m);
}

TEST_CASE("three tenths of clutter do not move the circle", "[circle]") {
  const auto seed = GENERATE(1U, 2U, 3U, 4U, 5U);
  CAPTURE(seed);
  Flat points = arc(kTrue, 0.2, 0.2 + 1.4 * pi, 210);
  jitter(points, 0.002, seed);
  add_clutter(points, 90, 0.35, seed + 100);
  const auto found = find_circle(points, {});
  REQUIRE(found);
  check_near(*found, kTrue,
             0.015);  // through three noisy points, within the 20 mm that support it; measured 11.6 mm
  check_near(refine_circle(*found, points, 0.008, 1), kTrue, 0.0015);  // measured 0.5 mm
}

TEST_CASE("Gauss-Newton agrees with the algebraic circle on clean arcs", "[circle]") {
  const double span_rad = GENERATE(0.6, 1.5, pi, 2 * pi);
  CAPTURE(span_rad);
  const Flat points = arc(kTrue, 1, 1 + span_rad, 80);
  const Circle reference = algebraic(points);
  check_near(reference, kTrue, 1e-9);
  // A prior worth a millionth of a point leaves the data alone, down to the step at which it stops.
  const Circle start{kTrue.centre_m + Eigen::Vector2d(0.004, 0.003), kTrue.radius_m + 0.004};
  const Circle refined = refine_circle(start, points, 0.05, 1e-6);
  check_near(refined, reference, 1e-7);  // measured 3e-9
  for (const auto& p : points) {
    REQUIRE_THAT((p - refined.centre_m).norm(), WithinAbs(refined.radius_m, kExact_m));
  }
}

TEST_CASE("the prior holds a short noisy arc near its start", "[circle]") {
  Flat points = arc(kTrue, 1.2, 1.2 + pi / 9, 40);
  jitter(points, 0.004, 11);
  const Circle start{kTrue.centre_m, kTrue.radius_m};
  const auto moved = [&](double prior_points) {
    return (refine_circle(start, points, 0.02, prior_points).centre_m - start.centre_m).norm();
  };
  CHECK(moved(15) < 0.0006);  // measured 0.2 mm; without a prior 233 mm
  CHECK(moved(1e-6) > 0.02);
  CHECK(moved(1e6) < kExact_m);
  check_near(refine_circle(start, {}, 0.02, 15), start, kExact_m);  // no points: the start stays
}

TEST_CASE("what is no circle within the limits is refused", "[circle]") {
  Flat line;
  for (int i = 0; i < 100; ++i) {
    line.emplace_back(0.01 * i, 0.3 - 0.004 * i);
  }
  CHECK_FALSE(find_circle(line, {}));
  CHECK_FALSE(find_circle(Flat(50, Eigen::Vector2d(1, 2)), {}));  // all equal
  CHECK_FALSE(find_circle({}, {}));
  CHECK_FALSE(find_circle(arc(kTrue, 0, 2 * pi, 7), {}));  // too few points
  CHECK(find_circle(arc(kTrue, 0, 2 * pi, 8), {}));
  const Flat round = arc(kTrue, 0, 2 * pi, 90);
  CHECK_FALSE(find_circle(round, {0.02, 0.16, 0.01}));
  CHECK_FALSE(find_circle(round, {0.18, 0.8, 0.01}));
  CHECK(find_circle(round, {0.16, 0.18, 0.01}));
}

TEST_CASE("support counts points, arc and scatter", "[circle]") {
  Flat points = arc(kTrue, 0, pi, 90);
  const std::size_t on_arc = points.size();
  add_clutter(points, 50, 0.03, 6);  // in the middle, far from the circle
  const CircleSupport half = support_of(kTrue, points, 0.02);
  REQUIRE(half.inliers.size() == on_arc);
  CHECK(half.inliers.back() == on_arc - 1);
  CHECK_THAT(half.arc_share, WithinAbs(0.5, 1.0 / 36));  // a point on the edge of a bin falls to either side
  CHECK_THAT(half.scatter_m, WithinAbs(0, 1e-12));
  const CircleSupport grown = support_of({kTrue.centre_m, kTrue.radius_m + 0.01}, points, 0.02);
  CHECK_THAT(grown.scatter_m, WithinAbs(0.01, 1e-12));
  const CircleSupport none = support_of(kTrue, {}, 0.02);
  CHECK(none.inliers.empty());
  CHECK(none.arc_share == 0);
  CHECK(none.scatter_m == 0);
}
