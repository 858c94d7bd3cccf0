#pragma once
/// Green density and bark thickness of wood species, for people who know what tree they felled. The figures
/// and their sources stand in scan/model/species_table.cpp; nothing is read at run time.

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "scan/model/sources.hpp"

namespace flitchwise {

/// Single bark thickness at three diameters over bark, from one published equation: (DOB - DIB) / 2. The
/// equations hold at breast height; higher up the stem bark is thinner.
struct BarkEquation {
  std::string stand;   ///< the species and region that the equation was fitted to
  std::string source;  ///< publication
  std::array<double, 3> diameter_over_bark_m{};
  std::array<double, 3> thickness_m{};
};

struct Species {
  std::string name;                ///< "Larch, western"
  std::string latin_name;          ///< "Larix occidentalis"
  double density_kg_m3 = 0;        ///< green wood without bark; 0 where the table gives none
  double bark_share = 0;           ///< bark volume over wood volume; 0 where the table gives none
  std::vector<BarkEquation> bark;  ///< empty where the table gives none
  std::size_t fitting = 1;         ///< species that the name fitted, of which find_species took this one
};

/// A figure with its 1-sigma uncertainty and where it comes from.
struct BarkEstimate {
  double thickness_m = 0;
  double sigma_m = 0;
  BarkSource source;
};
struct DensityEstimate {
  double density_kg_m3 = 0;
  double sigma_kg_m3 = 0;
  DensitySource source;
};

/// Looks a species up by its common or Latin name, whatever the case and the order of the words: "larch",
/// "western larch" and "Larch, western" are the same. When several species fit ("spruce") the one with the
/// thickest bark is taken, so that the plan stays inside the wood. Empty if none fits.
std::optional<Species> find_species(std::string_view name);

/// Common names of all species, in alphabetical order.
std::vector<std::string> species_names();

/// Single bark thickness for a log of this diameter over bark (> 0, else BadUse). From the mean of the
/// species' equations, linear in the diameter between their three figures and in proportion to it outside;
/// from the bark's share of the volume where there is no equation. A species of which neither is known, and
/// nullptr, give the mean and spread over all equations of the table.
BarkEstimate bark_thickness(const Species* species, double diameter_over_bark_m);

/// Green density. nullptr, and a species without a figure, give the mean and spread over the table.
DensityEstimate green_density(const Species* species);

}  // namespace flitchwise
