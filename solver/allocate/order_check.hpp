#pragma once
/// What makes an order's line good, for the check of an order and the reader of its file.

#include <string>

#include "solver/allocate/order.hpp"

namespace flitchwise::solver {

/// A day of the calendar written as 2027-05-14.
bool is_date(const std::string& text);

/// To within a thousandth of a millimetre.
bool same_size(const Target& a, const Target& b);

/// What is wrong with the line, or empty.
std::string fault_of(const OrderLine& line);

}  // namespace flitchwise::solver
