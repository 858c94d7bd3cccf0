#pragma once
/// An order from a CSV file.

#include <filesystem>
#include <istream>
#include <string>

#include "solver/allocate/order.hpp"

namespace flitchwise::solver {

/// Reads an order from CSV. The first line names the columns, in any order:
///   target      50x150x3000: thickness, width and length in mm, spelled as on the command line; or, instead
///               of it, the three columns thickness_mm, width_mm and length_mm
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
