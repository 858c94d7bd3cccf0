#include "tools/report/warnings.hpp"

#include <algorithm>

#include "tools/report/fact_words.hpp"
#include "tools/report/setup_words.hpp"

namespace flitchwise::report {

std::vector<std::string> all_warnings(const Report& report, Units units, const Hint& hint) {
  std::vector<std::string> all;
  const auto add = [&](const std::string& words) {
    if (std::find(all.begin(), all.end(), words) == all.end()) {
      all.push_back(words);
    }
  };
  for (const Fact& fact : report.warnings) {
    add(with_hint(words(fact, units), fact, hint));
  }
  if (report.kit_costs) {
    add(words(*report.kit_costs, units));
  }
  for (const solver::SetupFact& fact : report.sheet.warnings) {
    add(words(fact, units));
  }
  return all;
}

std::string with_hint(const std::string& words, const Fact& fact, const Hint& hint) {
  const std::string behind = hint ? hint(fact) : std::string();
  if (behind.empty()) {
    return words;
  }
  const bool stopped = words.ends_with('.');
  return words.substr(0, words.size() - (stopped ? 1 : 0)) + " (" + behind + ')' + (stopped ? "." : "");
}

}  // namespace flitchwise::report
