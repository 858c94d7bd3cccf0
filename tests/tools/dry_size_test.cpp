#include "tools/job/dry_size.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "scan/model/errors.hpp"

using namespace flitchwise;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("a dry size becomes a green target with its reason", "[dry_size]") {
  const GreenTarget green = green_target("45x145x3000", "western larch", 18);
  CHECK(green.target.name == "54x158x3000");  // worked by hand in shrinkage_test.cpp
  CHECK_THAT(green.target.thickness_m, WithinAbs(0.054, 1e-9));
  CHECK_THAT(green.target.length_m, WithinAbs(3.0, 1e-9));
  CHECK_THAT(green.size.dry_thickness_m, WithinAbs(0.045, 1e-9));
  CHECK_THAT(green.size.dry_width_m, WithinAbs(0.145, 1e-9));
  CHECK(green.size.moisture_percent == 18);
  CHECK(green.size.green_thickness_m == green.target.thickness_m);
  CHECK(green.size.green_width_m == green.target.width_m);
  CHECK(green.size.shrinkage_source.species == "Larch, western");
  CHECK(green_target("45x145x3000", "", 18).size.shrinkage_source.species.empty());
}

TEST_CASE("American nominal sizes are those of the standard's table", "[dry_size]") {
  // PS 20-20, Table 3, dry: 2x6 is 1 1/2 x 5 1/2 in, 1x12 is 3/4 x 11 1/4 in, 5/4x8 is 1 x 7 1/4 in. At 30 %
  // moisture nothing has shrunk: the allowances of 7 mm alone, rounded up to half a millimetre.
  CHECK(green_target("nominal 2x6x3000", "spruce", 30).target.name == "45.5x147x3000");
  CHECK(green_target("nominal 1x12x2400", "spruce", 30).target.name == "26.5x293x2400");
  CHECK(green_target("nominal 5/4x8x2400", "spruce", 30).target.name == "32.5x191.5x2400");
}

TEST_CASE("every nominal thickness and width has the standard's dry dressed size", "[dry_size]") {
  // PS 20-20, Table 3, minimum dressed dry, inches, from a secondary table of the standard.
  constexpr double kInch_mm = 25.4;
  struct Size {
    const char* nominal;
    double thickness_in, width_in;
  };
  constexpr Size kSizes[] = {{"1x2", 0.75, 1.5},    {"1x3", 0.75, 2.5},  {"1x4", 0.75, 3.5},
                             {"1x6", 0.75, 5.5},    {"1x8", 0.75, 7.25}, {"1x10", 0.75, 9.25},
                             {"1x12", 0.75, 11.25}, {"2x4", 1.5, 3.5},   {"2x6", 1.5, 5.5},
                             {"2x8", 1.5, 7.25},    {"2x10", 1.5, 9.25}, {"2x12", 1.5, 11.25},
                             {"4x4", 3.5, 3.5},     {"4x6", 3.5, 5.5},   {"4x12", 3.5, 11.25}};
  constexpr double kAllowance_mm = 7;  // planing and saw; at 30 % moisture nothing has shrunk
  for (const Size& size : kSizes) {
    CAPTURE(size.nominal);
    const auto target = green_target("nominal " + std::string(size.nominal) + "x3000", "spruce", 30).target;
    const double thickness_mm = size.thickness_in * kInch_mm + kAllowance_mm;
    const double width_mm = size.width_in * kInch_mm + kAllowance_mm;
    CHECK_THAT(1e3 * target.thickness_m, WithinAbs(std::ceil(2 * thickness_mm - 1e-6) / 2, 1e-6));
    CHECK_THAT(1e3 * target.width_m, WithinAbs(std::ceil(2 * width_mm - 1e-6) / 2, 1e-6));
  }
}

TEST_CASE("what is no dry size is refused with examples", "[dry_size]") {
  for (const std::string text : {"45x145", "", "2x6", "nominal 2x6", "nominal 3x6x3000", "nominal 2x7x3000",
                                 "nominal 2x6x", "nominal 2x6x-3", "nominal", "45x145x3000x2"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH(green_target(text, "", 18),
                      Contains("'" + text + "' is no dry size") && Contains("45x145x3000"));
  }
}
