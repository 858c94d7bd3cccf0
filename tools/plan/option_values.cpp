#include "plan/option_values.hpp"

#include <algorithm>
#include <cctype>
#include <sstream>

namespace flitchwise {

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

}  // namespace flitchwise
