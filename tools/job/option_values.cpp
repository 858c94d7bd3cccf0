#include "tools/job/option_values.hpp"

#include <algorithm>
#include <cctype>
#include <sstream>

namespace flitchwise {
namespace {

const std::map<std::string, double>& units() {
  static const std::map<std::string, double> metres = {
      {"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}};
  return metres;
}

const std::map<std::string, Eigen::Vector3d>& axes() {
  static const std::map<std::string, Eigen::Vector3d> directions = {
      {"x", {1, 0, 0}},   {"+x", {1, 0, 0}}, {"-x", {-1, 0, 0}}, {"y", {0, 1, 0}},  {"+y", {0, 1, 0}},
      {"-y", {0, -1, 0}}, {"z", {0, 0, 1}},  {"+z", {0, 0, 1}},  {"-z", {0, 0, -1}}};
  return directions;
}

}  // namespace

void require_within(const Limits& limits, double value) {
  std::ostringstream text;
  text << limits.option << " is " << value << limits.unit << ", but must lie between " << limits.least
       << " and " << limits.most << limits.unit;
  require(value >= limits.least && value <= limits.most, text.str());  // false for a NaN too
}

std::string lower_case(std::string word) {
  std::transform(word.begin(), word.end(), word.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return word;
}

double unit_of(const std::string& word, const std::string& option) {
  return chosen(units(), option, word);
}

Eigen::Vector3d up_of(const std::string& word, const std::string& option) {
  return chosen(axes(), option, word);
}

}  // namespace flitchwise
