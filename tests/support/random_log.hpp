#pragma once
/// Invented logs for tests, as LogModels with nothing measured: every figure is a formula of the seed.

#include <cstdint>

#include "scan/model/log_model.hpp"

namespace flitchwise::test {

struct LogShape {
  double length_m = 4.0;
  double radius_m = 0.15;    ///< wood radius at the small end
  double taper_m_per_m = 0;  ///< growth of the radius along x
  double c_sweep_m = 0;      ///< bow of the centreline, largest in the middle
  double c_direction_rad = 0;
  double s_sweep_m = 0;  ///< S-bend, one full wave
  double s_direction_rad = 0;
  double ovality = 0;  ///< share by which the radius swings, twice a turn
  double oval_direction_rad = 0;
  double flare_m = 0;  ///< extra radius at the large end, fading over 0.4 m
  double waist_m = 0;  ///< loss of radius at waist_x_m, over 0.5 m each way
  double waist_x_m = 0;
  double bark_m = 0.01;
  double wood_sigma_m = 0;
};

/// Stations are spread evenly from 0 to the length.
LogModel make_log(const LogShape& shape, int stations, int angles);

/// A log of 3.2 to 5 m with all of the above, 11 to 22 cm in radius.
LogShape random_shape(std::uint64_t seed);

/// The same log, turned about +x by `roll_rad`.
LogModel rolled(const LogModel& log, double roll_rad);
/// The same log, left and right exchanged.
LogModel mirrored(const LogModel& log);

}  // namespace flitchwise::test
