#include "plan/dry_size.hpp"

#include <catch2/catch.hpp>

#include "flitchwise/errors.hpp"

using namespace flitchwise;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("a dry size becomes a green target with its reason", "[dry_size]") {
  const GreenTarget green = green_target("45x145x3000", "western larch", 18);
  CHECK(green.target.name == "54x158x3000");  // worked by hand in shrinkage_test.cpp
  CHECK_THAT(green.target.thickness_m, WithinAbs(0.054, 1e-9));
  CHECK_THAT(green.target.length_m, WithinAbs(3.0, 1e-9));
  CHECK_THAT(green.explanation, Contains("45 x 145 mm when dry (18 % moisture)") && Contains("Table 4-3"));
  CHECK_THAT(green_target("45x145x3000", "", 18).explanation, Contains("species is not known"));
}

TEST_CASE("American nominal sizes are those of the standard's table", "[dry_size]") {
  // PS 20-20, Table 3, dry: 2x6 is 1 1/2 x 5 1/2 in, 1x12 is 3/4 x 11 1/4 in, 5/4x8 is 1 x 7 1/4 in. At 30 %
  // moisture nothing has shrunk: the allowances of 7 mm alone, rounded up to half a millimetre.
  CHECK(green_target("nominal 2x6x3000", "spruce", 30).target.name == "45.5x147x3000");
  CHECK(green_target("nominal 1x12x2400", "spruce", 30).target.name == "26.5x293x2400");
  CHECK(green_target("nominal 5/4x8x2400", "spruce", 30).target.name == "32.5x191.5x2400");
}

TEST_CASE("what is no dry size is refused with examples", "[dry_size]") {
  for (const std::string text : {"45x145", "", "2x6", "nominal 2x6", "nominal 3x6x3000", "nominal 2x7x3000",
                                 "nominal 2x6x", "nominal 2x6x-3", "nominal", "45x145x3000x2"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH(green_target(text, "", 18),
                      Contains("'" + text + "' is no dry size") && Contains("45x145x3000"));
  }
}
