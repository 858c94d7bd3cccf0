#pragma once
/// Words and numbers of the command line, checked with the option's name as the person wrote it.

#include <Eigen/Core>
#include <map>
#include <string>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"

namespace flitchwise {

/// What an option's number may be. The libraries check the same in their own units; here the text names the
/// option as the person wrote it.
struct Limits {
  const char* option;
  double least;
  double most;
  const char* unit;
};

/// Throws BadUse that names option, value and range; a NaN is never within.
void require_within(const Limits& limits, double value);

/// In lower case.
std::string lower_case(std::string word);

/// The choice that the word names, whatever its case. Throws BadUse that lists the choices.
template <typename Value>
Value chosen(const std::map<std::string, Value>& choices, const std::string& option,
             const std::string& word) {
  const auto found = choices.find(lower_case(word));
  if (found == choices.end()) {
    std::string known;
    for (const auto& [name, value] : choices) {
      known += (known.empty() ? "" : ", ") + name;
    }
    throw BadUse(option + " is '" + word + "', but must be one of " + known);
  }
  return found->second;
}

/// "mm" as metres. Throws BadUse that names the option and the units.
double unit_of(const std::string& word, const std::string& option);
/// "z" or "-y" as a direction. Throws BadUse that names the option and the axes.
Eigen::Vector3d up_of(const std::string& word, const std::string& option);

}  // namespace flitchwise
