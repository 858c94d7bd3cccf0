// How close allocations come to their bound, and how long they take: allocate_benchmark [LOGS SHARE]...
#include <chrono>
#include <cstdio>
#include <cstdlib>

#include "tests/support/random_yard.hpp"

namespace {

void measure(int logs, double share) {
  using namespace flitchwise;
  constexpr std::uint64_t kSeed = 1;
  constexpr int kLines = 12;
  constexpr int kCandidates = 20;
  const test::RandomYard yard = test::large_yard(kSeed, logs, kLines, kCandidates, share);
  const auto start = std::chrono::steady_clock::now();
  const solver::Allocation allocation = solver::allocate(yard.order, yard.logs);
  const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - start;
  std::printf("%d logs, %.0f %% of the yard: gap %.3f %%, %.1f s\n", logs, 100 * share, 100 * allocation.gap,
              passed.count());
  constexpr const char* kKinds[] = {"value", "wood", "rolls", "margin"};
  for (const solver::GoalResult& goal : allocation.goals) {
    std::printf("  %-6s priority %d: %.4f, bound %.4f, gap %.3f %%\n", kKinds[static_cast<int>(goal.kind)],
                goal.priority, goal.reached, goal.bound, 100 * goal.gap);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    for (const double share : {0.3, 0.7, 1.3}) {
      for (const int logs : {30, 100, 300, 1000}) {
        measure(logs, share);
      }
    }
  }
  for (int i = 1; i + 1 < argc; i += 2) {
    measure(std::atoi(argv[i]), std::atof(argv[i + 1]));
  }
}
