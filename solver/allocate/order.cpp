#include "solver/allocate/order.hpp"

#include <chrono>
#include <cmath>

#include "scan/model/errors.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kSameSize_m = 1e-6;  // a thousandth of a millimetre: sizes are written in millimetres

std::string whole_range_fault(const char* name, int value, int least, int most) {
  if (value >= least && value <= most) {
    return "";
  }
  return std::string(name) + " is " + std::to_string(value) + ", but must lie between " +
         std::to_string(least) + " and " + std::to_string(most);
}

bool is_digits(const std::string& text, std::size_t from, std::size_t count) {
  return text.find_first_not_of("0123456789", from) >= from + count;
}

}  // namespace

bool is_date(const std::string& text) {
  constexpr std::size_t kSize = 10;  // 2027-05-14
  if (text.size() != kSize || text[4] != '-' || text[7] != '-' || !is_digits(text, 0, 4) ||
      !is_digits(text, 5, 2) || !is_digits(text, 8, 2)) {
    return false;
  }
  return std::chrono::year_month_day(std::chrono::year(std::stoi(text.substr(0, 4))),
                                     std::chrono::month(static_cast<unsigned>(std::stoi(text.substr(5, 2)))),
                                     std::chrono::day(static_cast<unsigned>(std::stoi(text.substr(8, 2)))))
      .ok();
}

bool same_size(const Target& a, const Target& b) {
  return std::abs(a.thickness_m - b.thickness_m) < kSameSize_m &&
         std::abs(a.width_m - b.width_m) < kSameSize_m && std::abs(a.length_m - b.length_m) < kSameSize_m;
}

std::string fault_of(const OrderLine& line) {
  try {
    check(line.target);
  } catch (const BadUse& error) {
    return error.what();
  }
  for (const std::string& fault : {whole_range_fault("quantity", line.quantity, 1, kMostBoards),
                                   whole_range_fault("on_hand", line.on_hand, 0, kMostBoards),
                                   whole_range_fault("priority", line.priority, 1, kLastPriority)}) {
    if (!fault.empty()) {
      return fault;
    }
  }
  if (!line.due.empty() && !is_date(line.due)) {
    return "due is '" + line.due + "', but must be a date such as 2027-05-14";
  }
  return "";
}

std::vector<Target> Order::targets() const {
  std::vector<Target> targets;
  targets.reserve(lines.size());
  for (const OrderLine& line : lines) {
    targets.push_back(line.target);
  }
  return targets;
}

void check(const Order& order) {
  require(!order.lines.empty(), "the order has no lines");
  require(order.lines.size() <= kMostTargets, "the order has " + std::to_string(order.lines.size()) +
                                                  " lines, but may have at most " +
                                                  std::to_string(kMostTargets));
  for (std::size_t i = 0; i < order.lines.size(); ++i) {
    const OrderLine& line = order.lines[i];
    const std::string fault = fault_of(line);
    require(fault.empty(), "order of " + line.target.name + ": " + fault);
    for (std::size_t j = 0; j < i; ++j) {
      require(!same_size(line.target, order.lines[j].target), "the order has " + line.target.name + " twice");
    }
  }
}

}  // namespace flitchwise::solver
