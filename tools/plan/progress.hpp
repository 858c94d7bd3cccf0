#pragma once
/// Tells on stderr what is under way.

#include <chrono>
#include <string_view>

namespace flitchwise {

/// Names the stage that is under way on stderr, once the whole has taken more than a second.
class Progress {
 public:
  void operator()(std::string_view stage) const;

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

}  // namespace flitchwise
