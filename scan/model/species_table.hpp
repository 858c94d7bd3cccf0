#pragma once
/// The raw figures behind species.hpp, as published.

#include <array>
#include <span>

namespace flitchwise {

struct SpeciesRow {
  const char* name;
  const char* latin_name;
  double density_kg_m3;  ///< 0: not given
  double bark_percent;   ///< bark volume in % of the wood volume; 0: not given
};

struct BarkRow {
  const char* species;  ///< SpeciesRow::name
  const char* stand;
  const char* source;
  std::array<double, 3> thickness_in;  ///< at kBarkDiameters_in
};

inline constexpr std::array<double, 3> kBarkDiameters_in{10, 14, 20};

std::span<const SpeciesRow> species_rows();
std::span<const BarkRow> bark_rows();

}  // namespace flitchwise
