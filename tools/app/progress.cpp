#include "tools/app/progress.hpp"

#include <iostream>

#include "tools/report/fact_words.hpp"

namespace flitchwise {

void Progress::operator()(std::string_view stage) {
  using Clock = std::chrono::steady_clock;
  constexpr std::chrono::seconds kPatience{1};
  const std::string_view name = stage.substr(0, stage.find(','));
  const bool again = name == stage_;
  if (Clock::now() - (again ? told_ : start_) > kPatience) {
    std::cerr << "... " << stage << '\n';
    told_ = Clock::now();
  }
  stage_ = name;
}

void Progress::operator()(const StageReport& stage) {
  (*this)(report::words(stage));
}

}  // namespace flitchwise
