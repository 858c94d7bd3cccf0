#include "scan/model/species.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <set>

#include "scan/model/errors.hpp"
#include "scan/model/species_table.hpp"

namespace flitchwise {
namespace {

constexpr double kMetresAnInch = 0.0254;
/// Thickness differs this much from tree to tree and along one stem around a species' equation: our own
/// judgement, no published figure.
constexpr double kLeastRelativeSigma = 0.25;
/// The same where only the bark's share of the volume is known.
constexpr double kShareRelativeSigma = 0.4;
/// The diameter at which species are compared for the choice of the thickest bark, m.
constexpr double kTypicalDiameter_m = 0.35;

using Words = std::set<std::string>;

/// Lower-case words; everything that is not a letter separates them.
Words words_of(std::string_view text) {
  Words words;
  std::string word;
  for (const char c : std::string(text) + " ") {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte) != 0) {
      word += static_cast<char>(std::tolower(byte));
    } else if (!word.empty()) {
      words.insert(word);
      word.clear();
    }
  }
  return words;
}

bool contains(const Words& all, const Words& wanted) {
  return std::includes(all.begin(), all.end(), wanted.begin(), wanted.end());
}

BarkEquation equation_of(const BarkRow& row) {
  BarkEquation equation{row.stand, row.source, kBarkDiameters_in, row.thickness_in};
  for (std::size_t i = 0; i < equation.thickness_m.size(); ++i) {
    equation.diameter_over_bark_m[i] *= kMetresAnInch;
    equation.thickness_m[i] *= kMetresAnInch;
  }
  return equation;
}

Species species_from(const SpeciesRow& row) {
  constexpr double kPercent = 100;
  Species species;
  species.name = row.name;
  species.latin_name = row.latin_name;
  species.density_kg_m3 = row.density_kg_m3;
  species.bark_share = row.bark_percent / kPercent;
  for (const BarkRow& bark : bark_rows()) {
    if (species.name == bark.species) {
      species.bark.push_back(equation_of(bark));
    }
  }
  return species;
}

/// How well a wanted name fits a species; smaller is better, none: no fit.
std::optional<int> fit_rank(const Species& species, const Words& wanted) {
  const Words name = words_of(species.name);
  if (name == wanted || words_of(species.latin_name) == wanted) {
    return 0;
  }
  // "fir" means the firs, "Fir, grand", before "Douglas-fir, coast": the kind stands before the comma.
  if (const Words kind = words_of(species.name.substr(0, species.name.find(','))); kind == wanted) {
    return 1;
  }
  if (contains(name, wanted)) {
    return 2;
  }
  return contains(words_of(species.latin_name), wanted) ? std::optional<int>(3) : std::nullopt;
}

/// Linear between the three figures, in proportion to the diameter outside them (an equation with an offset
/// would give thin logs a negative bark).
double interpolate(const BarkEquation& equation, double diameter_m) {
  const auto& d = equation.diameter_over_bark_m;
  const auto& t = equation.thickness_m;
  if (diameter_m <= d.front()) {
    return t.front() * diameter_m / d.front();
  }
  if (diameter_m >= d.back()) {
    return t.back() * diameter_m / d.back();
  }
  const std::size_t i = diameter_m < d[1] ? 0 : 1;
  return t[i] + (t[i + 1] - t[i]) * (diameter_m - d[i]) / (d[i + 1] - d[i]);
}

/// Bark of the same volume share all round: DIB = DOB / sqrt(1 + share).
double thickness_from_share(double share, double diameter_m) {
  return diameter_m / 2 * (1 - 1 / std::sqrt(1 + share));
}

struct Spread {
  double mean = 0;
  double sigma = 0;
};

Spread spread_of(const std::vector<double>& values) {
  Spread spread;
  const auto n = static_cast<double>(values.size());
  for (const double v : values) {
    spread.mean += v / n;
  }
  for (const double v : values) {
    spread.sigma += (v - spread.mean) * (v - spread.mean) / std::max(n - 1, 1.0);
  }
  spread.sigma = std::sqrt(spread.sigma);
  return spread;
}

BarkEstimate from_equations(const Species& species, double diameter_m) {
  std::vector<double> values;
  for (const BarkEquation& equation : species.bark) {
    values.push_back(interpolate(equation, diameter_m));
  }
  BarkEstimate estimate;
  estimate.thickness_m = spread_of(values).mean;
  if (species.bark_share > 0) {  // an independent figure: how far the two disagree is part of the spread
    values.push_back(thickness_from_share(species.bark_share, diameter_m));
  }
  estimate.sigma_m = std::max(spread_of(values).sigma, kLeastRelativeSigma * estimate.thickness_m);
  estimate.source = {BarkSource::Kind::equations, static_cast<int>(species.bark.size()), species.name,
                     species.bark.front().source};
  return estimate;
}

BarkEstimate over_all_species(double diameter_m) {
  std::vector<double> values;
  for (const BarkRow& row : bark_rows()) {
    values.push_back(interpolate(equation_of(row), diameter_m));
  }
  const Spread spread = spread_of(values);
  return {
      spread.mean, spread.sigma, {BarkSource::Kind::all_species, static_cast<int>(values.size()), {}, {}}};
}

double typical_bark_m(const Species& species) {
  return bark_thickness(&species, kTypicalDiameter_m).thickness_m;
}

}  // namespace

std::optional<Species> find_species(std::string_view name) {
  const Words wanted = words_of(name);
  if (wanted.empty()) {
    return std::nullopt;
  }
  std::vector<Species> best;
  int best_rank = 0;
  for (const SpeciesRow& row : species_rows()) {
    Species species = species_from(row);
    const std::optional<int> rank = fit_rank(species, wanted);
    if (!rank || (!best.empty() && *rank > best_rank)) {
      continue;
    }
    if (best.empty() || *rank < best_rank) {
      best.clear();
      best_rank = *rank;
    }
    best.push_back(std::move(species));
  }
  if (best.empty()) {
    return std::nullopt;
  }
  Species chosen = *std::max_element(best.begin(), best.end(), [](const Species& a, const Species& b) {
    return typical_bark_m(a) < typical_bark_m(b);
  });
  chosen.fitting = best.size();
  return chosen;
}

std::vector<std::string> species_names() {
  std::vector<std::string> names;
  for (const SpeciesRow& row : species_rows()) {
    names.emplace_back(row.name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

BarkEstimate bark_thickness(const Species* species, double diameter_over_bark_m) {
  require(std::isfinite(diameter_over_bark_m) && diameter_over_bark_m > 0,
          "the diameter over bark is " + std::to_string(diameter_over_bark_m) + " m, but must be positive");
  if (species != nullptr && !species->bark.empty()) {
    return from_equations(*species, diameter_over_bark_m);
  }
  if (species != nullptr && species->bark_share > 0) {
    const double thickness_m = thickness_from_share(species->bark_share, diameter_over_bark_m);
    return {thickness_m,
            kShareRelativeSigma * thickness_m,
            {BarkSource::Kind::volume_share, 0, species->name, {}}};
  }
  return over_all_species(diameter_over_bark_m);
}

DensityEstimate green_density(const Species* species) {
  /// Green wood of one species differs by about this much from tree to tree: our own judgement.
  constexpr double kRelativeSigma = 0.1;
  if (species != nullptr && species->density_kg_m3 > 0) {
    return {species->density_kg_m3, kRelativeSigma * species->density_kg_m3, {species->name, 0}};
  }
  std::vector<double> values;
  for (const SpeciesRow& row : species_rows()) {
    if (row.density_kg_m3 > 0) {
      values.push_back(row.density_kg_m3);
    }
  }
  const Spread spread = spread_of(values);
  return {spread.mean, spread.sigma, {{}, static_cast<int>(values.size())}};
}

}  // namespace flitchwise
