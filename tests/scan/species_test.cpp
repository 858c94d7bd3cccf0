#include "scan/model/species.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "scan/model/errors.hpp"

using Catch::Matchers::WithinAbs;
using namespace flitchwise;

namespace {

constexpr double kInch = 0.0254;
/// The published thicknesses are given to a thousandth of an inch.
constexpr double kHalfDigit = 0.0005 * kInch;

double thickness_m(const char* name, double diameter_in) {
  const auto species = find_species(name);
  REQUIRE(species);
  return bark_thickness(&*species, diameter_in * kInch).thickness_m;
}

}  // namespace

TEST_CASE("A species is found by any order and case of its words") {
  for (const char* name : {"larch", "LARCH", "western larch", "Larch, western", "Larix occidentalis"}) {
    CAPTURE(name);
    const auto species = find_species(name);
    REQUIRE(species);
    CHECK(species->name == "Larch, western");
    CHECK(species->fitting == 1);
  }
  CHECK_FALSE(find_species("marzipan"));
  CHECK_FALSE(find_species(""));
  CHECK_FALSE(find_species(" , - "));
}

TEST_CASE("A name that fits several species takes the thickest bark and says so") {
  const auto spruce = find_species("spruce");
  REQUIRE(spruce);
  CHECK(spruce->name == "Spruce, Sitka");
  CHECK(spruce->fitting == 2);
  const auto engelmann = find_species("engelmann spruce");
  REQUIRE(engelmann);
  CHECK(engelmann->fitting == 1);
  const double diameter_m = 0.35;
  CHECK(bark_thickness(&*spruce, diameter_m).thickness_m >
        bark_thickness(&*engelmann, diameter_m).thickness_m);
}

TEST_CASE("Fir means the firs, not Douglas-fir") {
  const auto fir = find_species("fir");
  REQUIRE(fir);
  CHECK(fir->name.substr(0, 4) == "Fir,");
  const auto douglas = find_species("Douglas fir");
  REQUIRE(douglas);
  CHECK(douglas->name == "Douglas-fir, coast");
}

TEST_CASE("Bark thickness equals the published figures at their diameters") {
  struct Figure {
    const char* species;
    double diameter_in;
    double thickness_in;
  };
  // (DOB - DIB) / 2 from the equations of the sources named in species_table.cpp.
  constexpr Figure kFigures[] = {
      {"western larch", 10, 0.745},      {"western larch", 14, 1.043},    {"western larch", 20, 1.490},
      {"Engelmann spruce", 10, 0.220},   {"Engelmann spruce", 14, 0.308}, {"Engelmann spruce", 20, 0.440},
      {"eastern white pine", 10, 0.555}, {"american beech", 14, 0.270},   {"incense-cedar", 20, 1.653},
      {"lodgepole pine", 10, 0.155},     {"northern red oak", 20, 0.740},
  };
  for (const Figure& figure : kFigures) {
    CAPTURE(figure.species, figure.diameter_in);
    CHECK_THAT(thickness_m(figure.species, figure.diameter_in),
               WithinAbs(figure.thickness_in * kInch, kHalfDigit));
  }
}

TEST_CASE("Bark thickness is linear between the figures, as the equations are") {
  // Eastern white pine: DIB = 0.92054 DOB - 0.31608 inches.
  for (const double diameter_in : {11.0, 12.5, 16.0, 19.0}) {
    CAPTURE(diameter_in);
    const double exact_in = (diameter_in - (0.92054 * diameter_in - 0.31608)) / 2;
    CHECK_THAT(thickness_m("eastern white pine", diameter_in), WithinAbs(exact_in * kInch, 2 * kHalfDigit));
  }
  CHECK_THAT(thickness_m("eastern white pine", 5), WithinAbs(0.555 / 2 * kInch, kHalfDigit));
  CHECK_THAT(thickness_m("eastern white pine", 40), WithinAbs(0.953 * 2 * kInch, 2 * kHalfDigit));
}

TEST_CASE("Bark of a species without an equation comes from its share of the volume") {
  const auto sitka = find_species("sitka spruce");
  REQUIRE(sitka);
  REQUIRE(sitka->bark.empty());
  const double diameter_m = 0.4;
  const BarkEstimate bark = bark_thickness(&*sitka, diameter_m);
  const double wood_m = diameter_m - 2 * bark.thickness_m;
  CHECK_THAT(diameter_m * diameter_m / (wood_m * wood_m) - 1, WithinAbs(0.125, 1e-9));
  CHECK(bark.source == BarkSource{BarkSource::Kind::volume_share, 0, "Spruce, Sitka", ""});
}

TEST_CASE("An unknown species gives a wide mean that says so") {
  const BarkEstimate unknown = bark_thickness(nullptr, 0.35);
  CHECK(unknown.thickness_m > 0.010);
  CHECK(unknown.thickness_m < 0.030);
  CHECK(unknown.sigma_m > 0.25 * unknown.thickness_m);
  CHECK(unknown.source.kind == BarkSource::Kind::all_species);
  CHECK(unknown.source.equations > 30);
  CHECK_THROWS_AS(bark_thickness(nullptr, 0), BadUse);
  CHECK_THROWS_AS(bark_thickness(nullptr, std::nan("")), BadUse);
}

TEST_CASE("Green density equals the published figures") {
  const auto larch = find_species("western larch");
  const auto white_oak = find_species("white oak");
  REQUIRE((larch && white_oak));
  CHECK_THAT(green_density(&*larch).density_kg_m3, WithinAbs(769, 0.5));
  // 1000 G (1 + MC) with G = 0.60 and MC = 68.27 %.
  CHECK_THAT(green_density(&*white_oak).density_kg_m3, WithinAbs(1009.6, 0.5));
  const DensityEstimate unknown = green_density(nullptr);
  CHECK(unknown.density_kg_m3 > 700);
  CHECK(unknown.density_kg_m3 < 850);
  CHECK(unknown.source.species.empty());
  CHECK(unknown.source.averaged > 30);
}

TEST_CASE("Every species of the table has a name of its own, a bark and a density") {
  const auto names = species_names();
  REQUIRE(names.size() == 53);
  CHECK(std::is_sorted(names.begin(), names.end()));
  CHECK(std::adjacent_find(names.begin(), names.end()) == names.end());
  for (const std::string& name : names) {
    CAPTURE(name);
    const auto species = find_species(name);
    REQUIRE(species);
    CHECK(species->name == name);
    const BarkEstimate bark = bark_thickness(&*species, 0.35);
    CHECK(bark.thickness_m > 0.002);
    CHECK(bark.thickness_m < 0.045);
    CHECK(bark.sigma_m >= 0.25 * bark.thickness_m - 1e-12);
    CHECK(green_density(&*species).density_kg_m3 > 400);
  }
}
