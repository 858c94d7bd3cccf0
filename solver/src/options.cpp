#include <sstream>

#include "flitchwise/errors.hpp"
#include "flitchwise/solver/plan.hpp"

namespace flitchwise::solver {
namespace {

void require_range(const char* name, double value, double least, double most) {
  if (!(value >= least && value <= most)) {
    std::ostringstream text;
    text << name << " is " << value << ", but must lie between " << least << " and " << most;
    throw BadUse(text.str());
  }
}

/// A board's size comes from a person, who writes millimetres.
void require_board_range(const std::string& name, double value_m, double least_m, double most_m) {
  constexpr double kMmAMetre = 1000;
  if (!(value_m >= least_m && value_m <= most_m)) {
    std::ostringstream text;
    text << "the board's " << name << " is " << value_m * kMmAMetre << " mm, but must lie between "
         << least_m * kMmAMetre << " and " << most_m * kMmAMetre << " mm";
    throw BadUse(text.str());
  }
}

}  // namespace

void check(const SearchOptions& options) {
  require_range("kerf_m", options.kerf_m, 0, 0.05);
  require_range("rip_kerf_m", options.rip_kerf_m, 0, 0.05);
  require_range("crosscut_kerf_m", options.crosscut_kerf_m, 0, 0.05);
  require_range("sigmas", options.sigmas, 0, 5);
  require_range("tolerance_m", options.tolerance_m, 0.0001, 0.02);
  require_range("time_limit_s", options.time_limit_s, 0.001, 86400);
  require_range("most_pitch", options.most_pitch, 0, 0.2);
}

void check(const Target& target) {
  require_board_range("thickness", target.thickness_m, 0.005, 1);
  require_board_range("width", target.width_m, 0.01, 2);
  require_board_range("length", target.length_m, 0.1, 30);
}

}  // namespace flitchwise::solver
