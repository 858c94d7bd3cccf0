#pragma once
/// Tells on stderr what is under way.

#include <chrono>
#include <string>
#include <string_view>

#include "tools/job/model_log.hpp"

namespace flitchwise {

/// Names the stage that is under way on stderr, once the whole has taken more than a second. What is said of
/// the same stage again, up to a comma the same, comes at most once a second.
class Progress {
 public:
  void operator()(std::string_view stage);
  void operator()(const StageReport& stage);

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
  std::chrono::steady_clock::time_point told_ = start_;
  std::string stage_;  // up to the comma
};

}  // namespace flitchwise
