#pragma once
/// Invented yards and orders for tests of the allocation; every figure is a formula of the seed.

#include <cstdint>
#include <vector>

#include "solver/allocate/allocate.hpp"

namespace flitchwise::test {

struct RandomYard {
  solver::Order order;
  std::vector<solver::YardLog> logs;
};

/// 2 to 6 logs, at most 4 candidates each, 1 to 4 lines; some orders can be met and some cannot.
RandomYard small_yard(std::uint64_t seed);

/// Logs of 0.15 to 0.9 m3 with `candidates` each, of one to three sizes that take 45 to 65 % of the wood. The
/// order asks for `share` of what the yard would give if every log were sawn by a candidate picked at random.
RandomYard large_yard(std::uint64_t seed, int logs, int lines, int candidates, double share);

}  // namespace flitchwise::test
