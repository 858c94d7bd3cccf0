#include "plan/progress.hpp"

#include <iostream>

namespace flitchwise {

void Progress::operator()(std::string_view stage) const {
  constexpr std::chrono::seconds kPatience{1};
  if (std::chrono::steady_clock::now() - start_ > kPatience) {
    std::cerr << "... " << stage << '\n';
  }
}

}  // namespace flitchwise
