#pragma once
/// What is ordered: board sizes with their numbers, and how much each matters.

#include <string>
#include <vector>

#include "solver/plan/plan.hpp"

namespace flitchwise::solver {

struct OrderLine {
  Target target;         ///< its value is that of one board
  int quantity = 0;      ///< boards ordered; [1, kMostBoards]
  int on_hand = 0;       ///< boards of this size that lie sawn already; [0, kMostBoards]
  int priority = 1;      ///< 1 goes first; [1, kLastPriority]
  std::string due = {};  ///< ISO date, "2027-05-14", or empty
  std::string use = {};  ///< remark of the person who ordered; has no effect
  std::size_t line = 0;  ///< in the file, from 1; 0: not from a file

  /// Boards still to be sawn.
  int needed() const { return quantity > on_hand ? quantity - on_hand : 0; }
};

struct Order {
  std::vector<OrderLine> lines;  ///< no size twice

  std::vector<Target> targets() const;  ///< one a line, in their order
};

constexpr int kMostBoards = 100000;
constexpr int kLastPriority = 99;

/// Throws BadUse that names the line's size and what is wrong with it: lines 1 to kMostTargets, no size
/// twice, every field in its range.
void check(const Order& order);

/// A day of the calendar written as 2027-05-14.
bool is_date(const std::string& text);

/// To within a thousandth of a millimetre.
bool same_size(const Target& a, const Target& b);

/// What is wrong with the line, or empty.
std::string fault_of(const OrderLine& line);

}  // namespace flitchwise::solver
