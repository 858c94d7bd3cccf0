#include "solver/plan/plan.hpp"

#include "scan/model/errors.hpp"

namespace flitchwise::solver {
void check(const SearchOptions& options) {
  check_limits(options);
}

void check(const Target& target) {
  check_limits(target, "the board's ");
}

void check(const std::vector<Target>& targets) {
  require(!targets.empty(), "give at least one board size");
  require(targets.size() <= kMostTargets, "there are " + std::to_string(targets.size()) +
                                              " board sizes, but at most " + std::to_string(kMostTargets) +
                                              " can be planned at once");
  for (const Target& target : targets) {
    check(target);
  }
}

}  // namespace flitchwise::solver
