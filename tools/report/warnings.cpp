#include "tools/report/warnings.hpp"

#include <algorithm>

#include "tools/report/setup_words.hpp"

namespace flitchwise::report {

std::vector<std::string> all_warnings(const Report& report, Units units) {
  std::vector<std::string> all;
  const auto add = [&](std::string words) {
    if (std::find(all.begin(), all.end(), words) == all.end()) {
      all.push_back(std::move(words));
    }
  };
  for (const std::string& warning : report.warnings) {
    add(in_units(units, warning));
  }
  if (report.kit_costs) {
    add(words(*report.kit_costs, units));
  }
  for (const solver::SetupFact& fact : report.sheet.warnings) {
    add(words(fact, units));
  }
  return all;
}

}  // namespace flitchwise::report
