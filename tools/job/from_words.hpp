#pragma once
/// Values from what people write, on the command line and in tables. Whatever is wrong with a text is a
/// BadUse that begins with `name`, by which the person calls the value.

#include <Eigen/Core>
#include <map>
#include <span>
#include <string>
#include <string_view>

#include "scan/model/errors.hpp"
#include "tools/job/model_log.hpp"

namespace flitchwise {

/// In lower case.
std::string lower_case(std::string word);

/// Reads one number more than `between` has letters, which stand between the numbers; nothing else may be in
/// the text. Returns whether that went well; numbers that are not finite do not.
bool read_numbers(std::string_view text, std::string_view between, std::span<double> numbers);

/// The choice that the word names, whatever its case; else the choices are told.
template <typename Value>
Value chosen(const std::map<std::string, Value>& choices, const std::string& name, const std::string& word) {
  const auto found = choices.find(lower_case(word));
  if (found == choices.end()) {
    std::string known;
    for (const auto& [choice, value] : choices) {
      known += (known.empty() ? "" : ", ") + choice;
    }
    throw BadUse(name + " is '" + word + "', but must be one of " + known);
  }
  return found->second;
}

/// "mm" as metres.
double unit_of(const std::string& word, const std::string& name);
/// "z" or "-y" as a direction.
Eigen::Vector3d up_of(const std::string& word, const std::string& name);
/// "1.2,-0.5,0.3", or the same with blanks between, as a point.
Eigen::Vector3d point_of(const std::string& text, const std::string& name);
/// The word itself, if it is a species of the table.
std::string species_of(const std::string& word, const std::string& name);
/// "1.2,0,0.5:3.4,0.1,0.5=2210": two points in the file's coordinates and their true distance in millimetres;
/// blanks are ignored.
ScalePoints scale_points_of(const std::string& text, const std::string& name);

}  // namespace flitchwise
