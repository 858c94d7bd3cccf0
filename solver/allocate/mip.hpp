#pragma once
/// A mixed-integer linear program, solved by COIN-OR CBC; its headers stay in mip.cpp.

#include <vector>

namespace flitchwise::solver {

struct MipColumn {
  double cost = 0;   ///< the sum of cost x value is to be least
  double upper = 1;  ///< values are whole numbers from 0 to this
};

struct MipRow {
  std::vector<int> columns;
  std::vector<double> coefficients;  ///< whole numbers, so that a sum is exact
  double lower = 0;                  ///< may be -infinity
  double upper = 0;                  ///< may be infinity
};

struct Mip {
  std::vector<MipColumn> columns;
  std::vector<MipRow> rows;
};

struct MipLimits {
  double gap = 0;      ///< stop when the share of the best value that may still be gained is at most this
  int nodes = 1;       ///< of branch and bound
  double seconds = 1;  ///< wall time
};

struct MipResult {
  enum class Status {
    solved,      ///< to the gap asked for
    stopped,     ///< at a limit, with a solution
    infeasible,  ///< proven
    unknown      ///< at a limit, without a solution
  };
  Status status = Status::unknown;
  std::vector<double> values;  ///< whole numbers, if solved or stopped
  double cost = 0;             ///< of the values
  double bound = 0;            ///< no values cost less
  bool out_of_time = false;    ///< the limit that stopped it was that of time
};

/// `start`: values that fulfil every row, or empty; the result is never worse. Single-threaded and
/// deterministic unless out of time. Requires: costs are whole numbers.
MipResult solve(const Mip& mip, const std::vector<double>& start, const MipLimits& limits);

}  // namespace flitchwise::solver
