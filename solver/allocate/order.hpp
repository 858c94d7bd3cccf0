#pragma once
/// What is ordered: board sizes with their numbers, and how much each matters.

#include <filesystem>
#include <istream>
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

/// Reads an order from CSV. The first line names the columns, in any order:
///   target      50x150x3000: thickness, width and length in mm, spelled as on the command line; or, instead
///   of
///               it, the three columns thickness_mm, width_mm and length_mm
///   quantity    boards ordered, a whole number
///   value       of one board in any unit, with a decimal point; 1 if missing or empty
///   priority    whole number, 1 goes first; 1 if missing or empty
///   due         date as 2027-05-14; may be missing or empty
///   on_hand     boards that are there already; 0 if missing or empty
///   use         remark; may be missing or empty
/// Commas or semicolons (whichever the first line has), quoted fields, line ends of any system and a byte
/// order mark are understood; empty lines count for nothing. Throws InputError with the file's name, the
/// number of the line and the reason for anything that is no order: a column that is unknown, missing or
/// twice, a line with more or fewer fields than the first, a number that is none, negative, fractional or out
/// of its range, a date that is none, a size twice, no lines, more than kMostTargets.
Order read_order(const std::filesystem::path& file);
/// The same from a stream; `name` stands for the file's in messages.
Order read_order(std::istream& stream, const std::string& name);

}  // namespace flitchwise::solver
