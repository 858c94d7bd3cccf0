/// The family of surfaces r(x, theta) against direct evaluation.

#include "scan/fit/surface_basis.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

namespace {

using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;

constexpr double kRoundOff = 1e-12;

double uniform_from(std::mt19937_64& random, double least, double most) {
  return std::uniform_real_distribution<double>(least, most)(random);
}

/// Cubic B-spline with knots 0, 1, 2, 3, 4 by the Cox and de Boor recursion.
double b_spline(double u, int order = kSplineOrder) {
  if (order == 1) {
    return u >= 0 && u < 1 ? 1 : 0;
  }
  const double degree = order - 1;
  return u / degree * b_spline(u, order - 1) + (order - u) / degree * b_spline(u - 1, order - 1);
}

}  // namespace

TEST_CASE("Fourier terms are cosines and sines", "[surface_basis]") {
  for (int step = -40; step <= 80; ++step) {
    const double theta = 0.11 * step;
    const Terms terms = fourier_terms(theta);
    CAPTURE(theta);
    REQUIRE(terms[0] == 1);
    for (int n = 1; n <= kHarmonics; ++n) {
      REQUIRE_THAT(terms[2 * n - 1], WithinAbs(std::cos(n * theta), kRoundOff));
      REQUIRE_THAT(terms[2 * n], WithinAbs(std::sin(n * theta), kRoundOff));
    }
  }
}

TEST_CASE("the splines are the cubic B-splines, sum to one and keep to their groups", "[surface_basis]") {
  const double length_m = GENERATE(0.05, 0.8, 2.97, 4.2);
  const SurfaceBasis basis(-0.3, -0.3 + length_m, 0.12);
  const int splines = basis.spline_count();
  CAPTURE(length_m, splines);
  REQUIRE(splines % SurfaceBasis::kGroup == 0);
  REQUIRE(basis.block_count() == static_cast<std::size_t>(splines / SurfaceBasis::kGroup));
  const double spacing_m = length_m / (splines - kSplineOrder + 1);
  REQUIRE(spacing_m <= 1.5 * 0.12);
  for (int i = 0; i < 200; ++i) {
    const double x = basis.begin_m() + length_m * (i + 0.5) / 200;
    const auto local = basis.splines_at(x);
    REQUIRE(local.first >= 0);
    REQUIRE(local.first + kSplineOrder <= splines);
    REQUIRE((local.first + kSplineOrder - 1) / SurfaceBasis::kGroup - local.first / SurfaceBasis::kGroup <=
            1);
    double sum = 0;
    for (int k = 0; k < kSplineOrder; ++k) {
      const double weight = local.weight[static_cast<std::size_t>(k)];
      const double u = (x - basis.begin_m()) / spacing_m - (local.first + k) + (kSplineOrder - 1);
      REQUIRE_THAT(weight, WithinAbs(b_spline(u), 1e-9));
      sum += weight;
    }
    REQUIRE_THAT(sum, WithinAbs(1, kRoundOff));
  }
  CHECK(basis.splines_at(basis.end_m() + 1).first == splines - kSplineOrder);  // clamped
  CHECK(basis.splines_at(basis.begin_m() - 1).first == 0);
}

TEST_CASE("section and variance equal the direct sums", "[surface_basis]") {
  const SurfaceBasis basis(0.1, 1.3, 0.12);
  const auto rows = Eigen::Index{basis.spline_count()} * kTerms;
  std::mt19937_64 random(77);
  const Eigen::VectorXd coefficients =
      Eigen::VectorXd::NullaryExpr(rows, [&] { return uniform_from(random, -1, 1); });
  // A symmetric matrix with blocks only where the basis asks for them.
  BlockTridiagonal covariance(basis.block_count(), SurfaceBasis::kBlock);
  Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(rows, rows);
  for (std::size_t i = 0; i < basis.block_count(); ++i) {
    const auto at = static_cast<Eigen::Index>(i) * SurfaceBasis::kBlock;
    Eigen::MatrixXd block =
        covariance.diagonal[i].unaryExpr([&](double) { return uniform_from(random, -1, 1); });
    covariance.diagonal[i] = block + block.transpose();
    dense.block(at, at, SurfaceBasis::kBlock, SurfaceBasis::kBlock) = covariance.diagonal[i];
    if (i + 1 < basis.block_count()) {
      covariance.below[i] =
          covariance.below[i].unaryExpr([&](double) { return uniform_from(random, -1, 1); });
      dense.block(at + SurfaceBasis::kBlock, at, SurfaceBasis::kBlock, SurfaceBasis::kBlock) =
          covariance.below[i];
      dense.block(at, at + SurfaceBasis::kBlock, SurfaceBasis::kBlock, SurfaceBasis::kBlock) =
          covariance.below[i].transpose();
    }
  }
  for (int i = 0; i < 60; ++i) {
    const double x = uniform_from(random, 0.1, 1.3);
    const Terms terms = fourier_terms(uniform_from(random, 0, 2 * std::numbers::pi));
    Eigen::VectorXd design = Eigen::VectorXd::Zero(rows);
    const auto local = basis.splines_at(x);
    for (int k = 0; k < kSplineOrder; ++k) {
      design.segment<kTerms>(SurfaceBasis::row(local.first + k, 0)) =
          local.weight[static_cast<std::size_t>(k)] * terms;
    }
    CAPTURE(x);
    REQUIRE_THAT(basis.section(coefficients, x).dot(terms), WithinAbs(design.dot(coefficients), kRoundOff));
    REQUIRE_THAT(basis.variance(covariance, x, terms), WithinAbs(design.dot(dense * design), 1e-10));
  }
}
