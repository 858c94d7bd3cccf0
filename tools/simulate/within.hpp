#pragma once
/// Limits of what may be invented.

#include <string>

#include "scan/model/errors.hpp"

namespace flitchwise::simulate {

/// Throws BadUse that names the field, its value and the limits that it breaks.
struct Within {
  const char* what;  ///< "simulated log"
  void operator()(const std::string& field, double value, double low, double high) const {
    require(value >= low && value <= high, std::string(what) + ": " + field + " is " + std::to_string(value) +
                                               " but must lie between " + std::to_string(low) + " and " +
                                               std::to_string(high));
  }
};

}  // namespace flitchwise::simulate
