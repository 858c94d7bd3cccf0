#include "solver/setup/beam.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using namespace flitchwise::solver;

namespace {

constexpr double kRounding = 1e-12;
constexpr double kEi = 25000;

}  // namespace

TEST_CASE("Sag falls with stiffness and grows with the third and fourth power of the span") {
  CHECK_THAT(central_load_sag_m(100, 2, kEi), WithinRel(8 * central_load_sag_m(100, 1, kEi), kRounding));
  CHECK_THAT(uniform_load_sag_m(40, 2, kEi), WithinRel(16 * uniform_load_sag_m(40, 1, kEi), kRounding));
  CHECK_THAT(sag_m(40, 100, 1.5, 2 * kEi), WithinRel(sag_m(40, 100, 1.5, kEi) / 2, kRounding));
  CHECK_THAT(sag_m(40, 100, 1.5, kEi),
             WithinRel(uniform_load_sag_m(40, 1.5, kEi) + central_load_sag_m(100, 1.5, kEi), kRounding));
}

TEST_CASE("A point load anywhere agrees with the bending line integrated numerically") {
  for (const double a : {0.3, 0.9, 1.2, 2.0}) {
    CAPTURE(a);
    constexpr double kSpan = 2.4;
    constexpr double kLoad = 150;
    const double b = kSpan - a;
    // y'' = M / EI by Euler steps from both supports' condition y(0) = y(L) = 0.
    constexpr int kSteps = 200000;
    const double h = kSpan / kSteps;
    std::vector<double> y(kSteps + 1, 0.0);
    double slope = 0;
    for (int i = 0; i < kSteps; ++i) {
      const double x = (i + 0.5) * h;
      const double moment = x < a ? kLoad * b / kSpan * x : kLoad * a / kSpan * (kSpan - x);
      y[static_cast<std::size_t>(i) + 1] =
          y[static_cast<std::size_t>(i)] + slope * h + moment / kEi * h * h / 2;
      slope += moment / kEi * h;
    }
    double largest = 0;
    for (int i = 0; i <= kSteps; ++i) {
      largest = std::max(largest, std::abs(y[static_cast<std::size_t>(i)] - y.back() * i / kSteps));
    }
    CHECK_THAT(point_load_sag_m(kLoad, a, b, kEi), WithinRel(largest, 1e-4));
    CHECK_THAT(point_load_sag_m(kLoad, b, a, kEi), WithinRel(largest, 1e-4));
  }
  CHECK_THAT(point_load_sag_m(150, 1.2, 1.2, kEi), WithinRel(central_load_sag_m(150, 2.4, kEi), kRounding));
}

TEST_CASE("The longest span just keeps the limit") {
  const double span = longest_span_m(40, 118, kEi, 0.001);
  CHECK(sag_m(40, 118, span, kEi) <= 0.001);
  CHECK(sag_m(40, 118, span + 0.0002, kEi) > 0.001);
  CHECK_THAT(longest_span_m(0, 0, kEi, 0.001), WithinAbs(20, kRounding));
}
