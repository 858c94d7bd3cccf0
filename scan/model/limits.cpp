#include "scan/model/limits.hpp"

#include <sstream>

#include "scan/model/errors.hpp"

namespace flitchwise {

std::string person_name(std::string_view field) {
  for (const std::string_view unit : {"_m", "_rad", "_s", "_mib", "_percent"}) {
    if (field.ends_with(unit)) {
      field.remove_suffix(unit.size());
    }
  }
  std::string name(field);
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

void require_within(const Range& range, double value, const std::string& name, const PersonUnit& unit) {
  if (range.holds(value)) {
    return;
  }
  constexpr int kDigits = 10;  // without the last ones, which changing the unit makes
  std::ostringstream text;
  text.precision(kDigits);
  text << name << " is " << unit.from_field(value) << unit.text << ", but must "
       << (range.open ? "be at least " : "lie between ") << unit.from_field(range.least)
       << (range.open ? " and less than " : " and ") << unit.from_field(range.most) << unit.text;
  throw BadUse(text.str());
}

}  // namespace flitchwise
