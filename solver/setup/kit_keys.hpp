#pragma once
/// The keys of a kit file, shared by its reader and its checks.

#include <span>
#include <string>

#include "solver/setup/kit.hpp"

namespace flitchwise::solver {

/// One number of a kit file.
struct KitKey {
  const char* table;
  const char* name;
  double Kit::*member;
  double unit;   ///< of the file, in the member's unit
  double least;  ///< in the file's unit
  double most;
  bool required = true;  ///< if not, 0 stands for a key that is not there
};

std::span<const KitKey> kit_keys();

/// What is wrong with a kit, and at which key ("screws.reach_max_mm"); both empty if nothing is.
struct KitFault {
  std::string key;
  std::string text;
};
KitFault find_fault(const Kit& kit);

/// Six significant digits without trailing zeros.
std::string number_text(double value);

}  // namespace flitchwise::solver
