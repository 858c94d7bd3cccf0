#pragma once
/// How far a fitted log model is from the truth of the simulated scan that it was fitted to.

#include "flitchwise/log_model.hpp"
#include "flitchwise/scan/cloud.hpp"
#include "simulate/simulate.hpp"

namespace flitchwise::testing {

/// The simulated points as the reader would give them.
scan::Cloud cloud_of(const simulate::ScanPoints& scan);

struct RadiusErrors {
  double count = 0;
  double rms_m = 0;
  double mean_m = 0;
  double within_two_sigma = 0;  ///< share of the samples
};

struct FitErrors {
  double length_m = 0;          ///< fitted less true
  double usable_length_m = 0;   ///< fitted less true
  double centreline_rms_m = 0;  ///< across the log
  RadiusErrors seen_bark;
  RadiusErrors unseen_bark;
  RadiusErrors seen_wood;
  RadiusErrors unseen_wood;
};

FitErrors against_truth(const LogModel& log, const simulate::Truth& truth);

}  // namespace flitchwise::testing
