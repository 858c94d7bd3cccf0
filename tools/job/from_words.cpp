#include "tools/job/from_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>

#include "scan/model/species.hpp"
#include "scan/model/units.hpp"

namespace flitchwise {

std::string lower_case(std::string word) {
  std::transform(word.begin(), word.end(), word.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return word;
}

bool read_numbers(std::string_view text, std::string_view between, std::span<double> numbers) {
  const char* next = text.data();
  const char* const end = next + text.size();
  for (std::size_t i = 0; i <= between.size(); ++i) {
    const auto [rest, error] = std::from_chars(next, end, numbers[i]);
    const bool last = i == between.size();
    if (error != std::errc() || !std::isfinite(numbers[i]) ||
        (last ? rest != end : rest == end || *rest != between[i])) {
      return false;
    }
    next = last ? rest : rest + 1;
  }
  return true;
}

double unit_of(const std::string& word, const std::string& name) {
  static const std::map<std::string, double> metres = {
      {"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}};
  return chosen(metres, name, word);
}

Eigen::Vector3d up_of(const std::string& word, const std::string& name) {
  static const std::map<std::string, Eigen::Vector3d> directions = {
      {"x", {1, 0, 0}},   {"+x", {1, 0, 0}}, {"-x", {-1, 0, 0}}, {"y", {0, 1, 0}},  {"+y", {0, 1, 0}},
      {"-y", {0, -1, 0}}, {"z", {0, 0, 1}},  {"+z", {0, 0, 1}},  {"-z", {0, 0, -1}}};
  return chosen(directions, name, word);
}

Eigen::Vector3d point_of(const std::string& text, const std::string& name) {
  std::array<double, 3> at{};
  require(read_numbers(text, ",,", at) || read_numbers(text, "  ", at),
          name + " is '" + text +
              "', but must be a point of the file as three numbers, X,Y,Z, for example 1.2,-0.5,0.3");
  return {at[0], at[1], at[2]};
}

std::string species_of(const std::string& word, const std::string& name) {
  require(
      find_species(word).has_value(),
      name + " is '" + word +
          "', which is not in the table; name another one, for example larch, or leave it out and give the "
          "thickness of the bark");
  return word;
}

ScalePoints scale_points_of(const std::string& text, const std::string& name) {
  std::string plain = text;
  std::erase(plain, ' ');
  std::array<double, 7> at{};
  require(
      read_numbers(plain, ",,:,,=", at),
      name + " is '" + text +
          "', but must be two points in the file's coordinates and their true distance in mm, for example "
          "1.2,0,0.5:3.4,0.1,0.5=2210");
  constexpr PersonUnit kMm = person_unit(name_of(&ScalePoints::distance_m));
  const ScalePoints points{{at[0], at[1], at[2]}, {at[3], at[4], at[5]}, kMm.to_field(at[6])};
  require_within(range_of<&ScalePoints::distance_m>(), points.distance_m, "the distance of " + name, kMm);
  require((points.second - points.first).norm() > 0,
          "the two points of " + name + " are one; pick two that lie far apart");
  return points;
}

}  // namespace flitchwise
