#include "solver/plan/plan.hpp"

#include <cmath>
#include <sstream>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kLeastValue = 0.001;
constexpr double kMostWane = 0.5;  // of it, nothing would be left of a face

void require_range(const char* name, double value, double least, double most) {
  if (!(value >= least && value <= most)) {
    std::ostringstream text;
    text << name << " is " << value << ", but must lie between " << least << " and " << most;
    throw BadUse(text.str());
  }
}

/// A board's size comes from a person, who writes millimetres.
void require_board_range(const std::string& name, double value_m, double least_m, double most_m) {
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
  require_range("keep_pith_out_m", options.keep_pith_out_m, 0, 0.5);
  require_range("most_grain_slope", options.most_grain_slope, 0, 1);
  for (const double length_m : options.short_lengths_m) {
    require_board_range("shorter length", length_m, 0.1, 30);
  }
  for (const double roll_rad : options.roll_only_rad) {
    require(std::isfinite(roll_rad), "roll_only_rad holds an angle that is no number");
  }
}

void check(const Target& target) {
  require_board_range("thickness", target.thickness_m, 0.005, 1);
  require_board_range("width", target.width_m, 0.01, 2);
  require_board_range("length", target.length_m, 0.1, 30);
  constexpr double kMostValue = 1e6;  // values are summed in thousandths, exactly
  if (!(target.value >= kLeastValue && target.value <= kMostValue)) {
    std::ostringstream text;
    text << "the board's value is " << target.value << ", but must lie between " << kLeastValue << " and "
         << kMostValue;
    throw BadUse(text.str());
  }
  if (!(target.wane_share >= 0 && target.wane_share < kMostWane)) {
    std::ostringstream text;
    text << "the board's wane share is " << target.wane_share << ", but must be at least 0 and less than "
         << kMostWane;
    throw BadUse(text.str());
  }
}

void check(const std::vector<Target>& targets) {
  require(!targets.empty(), "give at least one board size");
  require(targets.size() <= kMostTargets, "there are " + std::to_string(targets.size()) +
                                              " board sizes, but at most " + std::to_string(kMostTargets) +
                                              " can be planned at once");
  for (const Target& target : targets) {
    check(target);
  }
}

}  // namespace flitchwise::solver
