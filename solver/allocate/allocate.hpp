#pragma once
/// Which log of a yard becomes what, so that an order is met with the least wood: a mixed-integer program.
///
/// Every log has candidate plans; at most one of them is chosen, and a log for which none is chosen is saved.
/// What is best is decided by these goals, each one only among the choices that are best for those before it:
///   1. the value of the boards made for the order's lines of priority 1, then of priority 2, and so on: a
///      higher priority goes strictly first. Boards beyond what a line still needs earn nothing. If the order
///      can be met, these goals together say: meet it;
///   2. the least wood in the logs that are sawn;
///   3. the fewest rolls of logs;
///   4. the largest margins, summed over the logs that are sawn.
/// The due dates have no part in this: they say in which order the logs are sawn (Allocation::sawing_order).

#include <string>
#include <vector>

#include "scan/model/limits.hpp"
#include "solver/allocate/order.hpp"
#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

/// One way to saw a log.
struct Candidate {
  std::vector<int> boards;  ///< what it gives, one count a line of the order; each >= 0
  double wood_m3 = 0;       ///< what it uses up: the log's volume, unless a piece is set aside; > 0
  int rolls = 0;            ///< rolls and turns of the log that it takes; >= 0
  double margin_m = 0;      ///< of its plan; >= 0
};

struct YardLog {
  std::string name;                   ///< no two logs share it
  std::vector<Candidate> candidates;  ///< may be empty: a log that gives nothing
};

struct AllocateOptions {
  /// A goal counts as reached within this share of its bound; [0, 0.1]. 0: reached when nothing better
  /// exists.
  double most_gap = 0;
  /// Branch-and-bound nodes for one goal, a twentieth of it for rolls and margins; [0, 10 million]. The same
  /// number gives the same answer on every machine. 0: by the size of the yard, so that a thousand logs take
  /// half a minute.
  int most_nodes = 0;
  /// Wall time for all goals: the last resort, after which the answer depends on the machine; [0.001, 86400].
  double time_limit_s = 600;
};
FLITCHWISE_FIELDS(AllocateOptions, most_gap, most_nodes, time_limit_s)
constexpr auto limits_of(const AllocateOptions*) {
  return std::tuple{Limit{&AllocateOptions::most_gap, {0, 0.1}},
                    Limit{&AllocateOptions::most_nodes, {0, 1e7}},
                    Limit{&AllocateOptions::time_limit_s, {0.001, 86400}}};
}

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const AllocateOptions& options);

/// One of the goals above and how close to it the answer comes.
struct GoalResult {
  enum class Kind { value, wood, rolls, margin };
  Kind kind = Kind::value;
  int priority = 0;    ///< of the lines that it is about; 0: all
  double reached = 0;  ///< value, m3, rolls or m
  double bound =
      0;  ///< no choice that is as good for the goals before reaches more (value, margin) or needs less
  double gap = 0;       ///< |reached - bound| / max(|reached|, |bound|); 0 if both are 0
  bool proven = false;  ///< gap is 0 to within the solver's arithmetic
};

struct LineResult {
  int needed = 0;      ///< quantity less what is on hand
  int made = 0;        ///< boards of this size that the chosen plans give
  int short_by = 0;    ///< needed and not made
  int over = 0;        ///< made and not needed
  int could_make = 0;  ///< if every log were sawn for this line alone
};

struct Allocation {
  enum class Status {
    met,       ///< every line is met
    short_of,  ///< the yard cannot give all that was ordered, or the search found no way
    nothing_needed
  };
  Status status = Status::nothing_needed;
  /// For each log, in the caller's order: index of the chosen candidate, or kSaved.
  std::vector<int> chosen;
  std::vector<LineResult> lines;  ///< one a line of the order
  /// Indices of the logs that are sawn, in the order to saw them: first those that give boards for the line
  /// that is due first (then of higher priority), until that line is met, and so on; lines without a date
  /// last.
  std::vector<std::size_t> sawing_order;
  std::vector<GoalResult> goals;  ///< in their order
  double wood_m3 = 0;             ///< in the logs that are sawn
  double gap = 0;                 ///< largest gap of the goals for value and wood
  bool time_ran_out = false;      ///< then another machine may find another answer
  static constexpr int kSaved = -1;
};

/// The best choice, see above. Deterministic, and the same whatever the order of the logs, unless the time
/// limit is reached. Throws BadUse if the order or options are out of range, a candidate has not one count a
/// line or a number out of its range, or two logs share a name.
Allocation allocate(const Order& order, const std::vector<YardLog>& logs,
                    const AllocateOptions& options = {});

}  // namespace flitchwise::solver
