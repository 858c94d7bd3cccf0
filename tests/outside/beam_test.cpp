/// Sag of hollow rails against figures that were computed from the published beam tables (R. L. Mott, Machine
/// Elements in Mechanical Design, 4th ed., Table A14-1; hollow rectangle I = (B H^3 - b h^3) / 12) for
/// aluminium 6061-T6: E = 68.9 GPa and 2700 kg/m3 from manufacturers' material sheets. The figures were
/// worked out apart from this code.

#include "solver/setup/beam.hpp"

#include <catch2/catch.hpp>

using Catch::Matchers::WithinRel;
using namespace flitchwise::solver;

namespace {

constexpr double kModulus = 68.9e9;
constexpr double kDensity = 2700;
constexpr double kMm = 0.001;
constexpr double kMm4 = 1e-12;
constexpr double kLoad = 100;
/// The figures carry six digits after the point.
constexpr double kDigits = 2e-6;

struct Tube {
  double width_mm, height_mm, wall_mm, inertia_mm4, weight_n_m, span_m;
  double own_sag_mm, central_mm, quarter_mm;
};

constexpr Tube kTubes[] = {
    {100, 50, 3, 374392, 22.87695, 2, 0.184761, 0.646105, 0.451479},
    {100, 50, 3, 374392, 22.87695, 3, 0.935354, 2.180604, 1.523743},
    {50, 100, 3, 1121192, 22.87695, 3, 0.312337, 0.728154, 0.508813},
    {80, 40, 3, 184292, 18.11092, 3, 1.504314, 4.429930, 3.095507},
};

}  // namespace

TEST_CASE("Hollow rails sag as the beam tables say") {
  for (const Tube& tube : kTubes) {
    CAPTURE(tube.width_mm, tube.height_mm, tube.span_m);
    const double inertia =
        hollow_section_inertia_m4(tube.width_mm * kMm, tube.height_mm * kMm, tube.wall_mm * kMm);
    CHECK_THAT(inertia, WithinRel(tube.inertia_mm4 * kMm4, kDigits));
    const double area = (tube.width_mm * tube.height_mm -
                         (tube.width_mm - 2 * tube.wall_mm) * (tube.height_mm - 2 * tube.wall_mm)) *
                        kMm * kMm;
    const double weight_n_m = area * kDensity * kGravity;
    CHECK_THAT(weight_n_m, WithinRel(tube.weight_n_m, kDigits));
    const double ei = kModulus * inertia;
    CHECK_THAT(uniform_load_sag_m(weight_n_m, tube.span_m, ei),
               WithinRel(tube.own_sag_mm * kMm, 3 * kDigits));
    CHECK_THAT(central_load_sag_m(kLoad, tube.span_m, ei), WithinRel(tube.central_mm * kMm, kDigits));
    CHECK_THAT(point_load_sag_m(kLoad, tube.span_m / 4, 3 * tube.span_m / 4, ei),
               WithinRel(tube.quarter_mm * kMm, kDigits));
  }
}
