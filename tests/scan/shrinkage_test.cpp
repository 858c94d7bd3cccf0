#include "scan/model/shrinkage.hpp"

#include <catch2/catch.hpp>

#include "scan/model/errors.hpp"

using namespace flitchwise;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("wood shrinks in proportion to how far it dries below fibre saturation", "[shrinkage]") {
  const auto larch = find_species("Larch, western");
  REQUIRE(larch);
  // Wood Handbook, FPL-GTR-190: Table 4-3 gives western larch 9.1 % tangential; S = S0 (1 - M / 30).
  CHECK_THAT(shrinkage(&*larch, 0).tangential_share, WithinAbs(0.091, 1e-12));
  CHECK_THAT(shrinkage(&*larch, 15).tangential_share, WithinAbs(0.0455, 1e-12));
  CHECK(shrinkage(&*larch, 30).tangential_share == 0);
  CHECK(shrinkage(&*larch, 45).tangential_share == 0);
  CHECK(shrinkage(&*larch, 12).source.species == "Larch, western");
  CHECK(shrinkage(nullptr, 12).tangential_share > shrinkage(&*larch, 12).tangential_share);
  CHECK(shrinkage(nullptr, 12).source.species.empty());
  CHECK_THROWS_AS(shrinkage(nullptr, -1), BadUse);
  CHECK_THROWS_AS(shrinkage(nullptr, 61), BadUse);
}

TEST_CASE("a board sawn green and dried keeps its planing and saw allowances", "[shrinkage]") {
  const auto larch = find_species("Larch, western");
  const ShrinkageEstimate estimate = shrinkage(&*larch, 18);
  const GreenSizeOptions options;
  for (const double dry_m : {0.019, 0.045, 0.145, 0.2}) {
    const double green_m = green_size_m(dry_m, estimate, options);
    const double dried_m = green_m * (1 - estimate.tangential_share);
    CHECK(dried_m >= dry_m + options.planing_m + options.saw_variation_m - 1e-12);
    CHECK(dried_m < dry_m + options.planing_m + options.saw_variation_m + 0.0005);
  }
  // (45 + 4 + 3) / (1 - 0.091 x 0.4) = 53.96 -> 54; (145 + 7) / 0.9636 = 157.74 -> 158
  CHECK_THAT(green_size_m(0.045, estimate, options), WithinAbs(0.054, 1e-9));
  CHECK_THAT(green_size_m(0.145, estimate, options), WithinAbs(0.158, 1e-9));
  CHECK_THROWS_AS(green_size_m(0, estimate, options), BadUse);
  GreenSizeOptions wild;
  wild.planing_m = 0.1;
  CHECK_THROWS_WITH(green_size_m(0.045, estimate, wild), Contains("planing_m"));
}

TEST_CASE("shrinkage figures are those of the handbook's table, and say so where they were not read in it",
          "[shrinkage]") {
  // Tangential, green to oven-dry, %: USDA Wood Handbook, FPL-GTR-190 (2010), Table 4-3.
  using Read = ShrinkageSource::Read;
  struct Figure {
    const char* name;
    double percent;
    Read read;
  };
  constexpr Figure kFigures[] = {
      {"Ash, white", 7.8, Read::in_table},           {"Beech, American", 11.9, Read::in_table},
      {"Douglas-fir, coast", 7.6, Read::in_table},   {"Oak, white", 10.5, Read::in_table},
      {"Redcedar, western", 5.0, Read::in_table},    {"Walnut, black", 7.8, Read::in_table},
      {"Larch, western", 9.1, Read::in_second_text}, {"Spruce, Sitka", 7.5, Read::in_second_text},
      {"Pine, ponderosa", 6.2, Read::from_memory},   {"Locust, black", 7.2, Read::from_memory}};
  for (const Figure& figure : kFigures) {
    CAPTURE(figure.name);
    const auto species = find_species(figure.name);
    REQUIRE(species);
    const ShrinkageEstimate estimate = shrinkage(&*species, 0);
    CHECK_THAT(estimate.tangential_share, WithinAbs(figure.percent / 100, 1e-12));
    CHECK(estimate.source.species == figure.name);
    CHECK(estimate.source.read == figure.read);
  }
}
