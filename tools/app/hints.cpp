#include "tools/app/hints.hpp"

#include <array>

#include "tools/report/ask.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/warnings.hpp"

namespace flitchwise {
std::string options_for(const Fact& fact) {
  // In the order of Ask; a scan or an export is made without this program.
  constexpr std::array kOptions = {"--scale-length", "--scale-points",      "--unit", "--up", "--near",
                                   "--bark",         "--allow-unseen-ends", "",       ""};
  std::string options;
  for (const report::Ask ask : report::asks_of(fact)) {
    const std::string option = kOptions.at(static_cast<std::size_t>(ask));
    options += (options.empty() || option.empty() ? "" : ", ") + option;
  }
  return options;
}

std::string why_not(const Fact& fact, const ScanRequest& request, report::Units units) {
  std::vector<std::string> names;
  for (const auto& file : request.files) {
    names.push_back(file.path.filename().string());
  }
  return report::with_hint(report::words(fact, units, names), fact, options_for);
}

}  // namespace flitchwise
