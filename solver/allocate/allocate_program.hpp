#pragma once
/// The allocation as a program in whole numbers: boards, tenths of a litre of wood, rolls, tenths of a
/// millimetre of margin, thousandths of value. So every goal can be held exactly while the next one is
/// sought.

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "solver/allocate/allocate.hpp"
#include "solver/allocate/mip.hpp"

namespace flitchwise::solver {

constexpr double kUnitsAM3 = 1e4;     ///< wood is compared to a tenth of a litre
constexpr double kUnitsAM = 1e4;      ///< margins to a tenth of a millimetre
constexpr double kUnitsAValue = 1e3;  ///< values to a thousandth

/// A candidate that can be part of a best allocation.
struct Choice {
  int candidate = 0;        ///< its index in YardLog::candidates
  std::vector<int> boards;  ///< that count: at most as many as the line needs
  std::int64_t wood = 0;
  int rolls = 0;
  std::int64_t margin = 0;
  auto operator<=>(const Choice&) const = default;
};

/// Logs that offer the same choices; most often a single one.
struct LogGroup {
  std::vector<std::size_t> logs;  ///< indices in the yard, by name
  std::vector<Choice> choices;    ///< `candidate` is that of the first log
};

/// Without choices that give nothing or that another one of the same log is at least as good as in every way.
/// The result does not depend on the order of the logs.
std::vector<LogGroup> grouped(const Order& order, const std::vector<YardLog>& logs);

/// The candidate of `log` that is `choice` in all that counts.
int candidate_of(const Order& order, const YardLog& log, const Choice& choice);

enum class Demand {
  all,     ///< every line gets what it needs
  as_can,  ///< boards that count are columns of their own, one a line, behind the others
};

/// Its columns say how often each choice of each group is taken.
class Program {
 public:
  Program(const Order& order, const std::vector<LogGroup>& groups, Demand demand);

  std::size_t columns() const { return mip_.columns.size(); }
  /// Wood, rolls, or margin (negative: much margin is wanted) of all choices as costs.
  std::vector<double> costs(GoalResult::Kind kind) const;
  /// Value of the boards that count for lines of `priority`, negative. Requires: demand is as_can.
  std::vector<double> value_costs(int priority) const;
  /// From now on the sum of costs must not exceed `most`.
  void hold(const std::vector<double>& costs, double most);

  MipResult least(const std::vector<double>& costs, const std::vector<double>& start,
                  const MipLimits& limits);

 private:
  void add_group(const LogGroup& group);
  void add_line(const Order& order, std::size_t line, const std::vector<LogGroup>& groups, Demand demand);

  std::vector<Choice> choices_;       ///< a column
  std::vector<std::int64_t> values_;  ///< a line
  std::vector<int> priorities_;       ///< a line
  Mip mip_;
};

/// The values of the lines' boards as whole numbers.
struct WholeValues {
  std::vector<std::int64_t> values;
  double unit =
      1;  ///< value of 1: what divides all thousandths. The smaller the numbers, the firmer the arithmetic
};
WholeValues whole_values(const Order& order);

}  // namespace flitchwise::solver
