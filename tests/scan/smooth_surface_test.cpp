/// The smooth surface through cells that are known exactly.

#include "scan/fit/smooth_surface.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using scan::Cell;
using std::numbers::pi;

constexpr double kLength_m = 2;
constexpr int kRings = 80;
constexpr int kAngles = 90;

double oval_m(double x, double theta) {
  return 0.15 + 0.005 * x + 0.004 * std::cos(2 * theta - 0.3 * x);
}

/// Cells of an oval, tapered log where `seen` holds, each with white noise.
std::vector<Cell> cells_of(double noise_m, const std::function<bool(double theta)>& seen,
                           std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  std::vector<Cell> cells;
  for (int i = 0; i < kRings; ++i) {
    for (int k = 0; k < kAngles; ++k) {
      Cell cell;
      cell.ix = i;
      cell.itheta = k;
      cell.ring_x_m = (i + 0.5) * kLength_m / kRings;
      cell.theta_rad = (k + 0.5) * 2 * pi / kAngles;
      if (!seen(cell.theta_rad)) {
        continue;
      }
      cell.radius_m = oval_m(cell.ring_x_m, cell.theta_rad) + noise_m * normal(random);
      cell.count = 10;
      cell.spread_m = noise_m;
      cells.push_back(cell);
    }
  }
  return cells;
}

scan::SmoothSurface fitted(const std::vector<Cell>& cells) {
  const scan::SurfaceBasis basis(0, kLength_m, 0.12);
  const Eigen::MatrixX2d straight = Eigen::MatrixX2d::Zero(basis.spline_count(), 2);
  return scan::fit_surface(cells, basis, kRings, kAngles, straight);
}

double radius_m(const scan::SmoothSurface& surface, double x, double theta) {
  return surface.basis.section(surface.coefficients, x).dot(scan::fourier_terms(theta));
}

double sigma_m(const scan::SmoothSurface& surface, double x, double theta) {
  return std::sqrt(surface.basis.variance(surface.covariance, x, scan::fourier_terms(theta)));
}

bool everywhere(double /*theta*/) {
  return true;
}
bool not_below(double theta) {
  return std::abs(std::remainder(theta - 1.5 * pi, 2 * pi)) > 0.9;
}

}  // namespace

TEST_CASE("the surface goes through cells without noise", "[smooth_surface]") {
  const auto surface = fitted(cells_of(1e-5, everywhere, 1));
  for (double x = 0.05; x < kLength_m; x += 0.1) {
    for (double theta = 0; theta < 2 * pi; theta += 0.4) {
      CAPTURE(x, theta);
      REQUIRE_THAT(radius_m(surface, x, theta), WithinAbs(oval_m(x, theta), 0.0002));
    }
  }
}

TEST_CASE("scatter, its correlation and the sigmas are those of the cells", "[smooth_surface]") {
  const auto surface = fitted(cells_of(0.002, everywhere, 2));
  CHECK_THAT(surface.cell_sigma_m, WithinAbs(0.002, 0.0002));
  CHECK_THAT(surface.correlation, WithinAbs(1, 0.3));
  double inside = 0;
  double all = 0;
  for (double x = 0.1; x < kLength_m; x += 0.1) {
    for (double theta = 0; theta < 2 * pi; theta += 0.2) {
      const double sigma = sigma_m(surface, x, theta);
      REQUIRE(sigma < 0.001);
      inside += std::abs(radius_m(surface, x, theta) - oval_m(x, theta)) < 2 * sigma ? 1 : 0;
      all += 1;
    }
  }
  CHECK(inside / all > 0.9);
}

TEST_CASE("the surface closes where nothing was seen, and says that it may be wrong there",
          "[smooth_surface]") {
  const auto surface = fitted(cells_of(0.002, not_below, 3));
  for (double x = 0.1; x < kLength_m; x += 0.2) {
    const double below_m = sigma_m(surface, x, 1.5 * pi);
    CAPTURE(x, below_m);
    CHECK(below_m > 2 * sigma_m(surface, x, 0.5 * pi));
    CHECK(std::abs(radius_m(surface, x, 1.5 * pi) - oval_m(x, 1.5 * pi)) < 3 * below_m);
  }
}

TEST_CASE("a tenth of the cells far outside changes nothing", "[smooth_surface]") {
  auto cells = cells_of(0.001, everywhere, 4);
  for (std::size_t i = 0; i < cells.size(); i += 10) {
    cells[i].radius_m += 0.05;
  }
  const auto surface = fitted(cells);
  for (double theta = 0; theta < 2 * pi; theta += 0.3) {
    CHECK_THAT(radius_m(surface, 1, theta), WithinAbs(oval_m(1, theta), 0.001));
  }
  CHECK(surface.weights[0] == 0);
  CHECK(surface.weights[5] > 0.5);
}
