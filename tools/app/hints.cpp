#include "tools/app/hints.hpp"

#include "tools/report/ask.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/text.hpp"

namespace flitchwise {
namespace {

std::string option_for(report::Ask ask) {
  using report::Ask;
  switch (ask) {
    case Ask::scale_length:
      return "--scale-length";
    case Ask::scale_points:
      return "--scale-points";
    case Ask::unit:
      return "--unit";
    case Ask::up:
      return "--up";
    case Ask::near:
      return "--near";
    case Ask::bark:
      return "--bark";
    case Ask::allow_unseen_ends:
      return "--allow-unseen-ends";
    case Ask::scan_again:
    case Ask::export_again:
      break;
  }
  return "";
}

}  // namespace

std::string options_for(const Fact& fact) {
  std::string options;
  for (const report::Ask ask : report::asks_of(fact)) {
    const std::string option = option_for(ask);
    options += (options.empty() || option.empty() ? "" : ", ") + option;
  }
  return options;
}

std::string why_not(const Fact& fact, const ScanRequest& request, report::Units units) {
  std::vector<std::string> names;
  for (const auto& file : request.files) {
    names.push_back(file.filename().string());
  }
  return report::with_hint(report::words(fact, units, names), fact, options_for);
}

}  // namespace flitchwise
