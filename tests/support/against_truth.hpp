#pragma once
/// How far a fitted log model is from the truth of the simulated scan that it was fitted to.

#include "scan/model/log_model.hpp"
#include "scan/read/cloud.hpp"
#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

/// The simulated points as the reader would give them.
scan::Cloud cloud_of(const simulate::ScanPoints& scan);

/// Errors of radii around the fitted centre.
struct RadiusErrors {
  double count = 0;
  double rms_m = 0;    ///< in place: the centreline's error is in it
  double shape_m = 0;  ///< RMS of the same around the middle that the section's seen part has
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

/// Knots and stubs that stand out by more than `least_height_m`.
struct KnotErrors {
  int true_seen = 0;        ///< on bark that the scan shows
  int found = 0;            ///< of these
  int false_alarms = 0;     ///< knots of the model with nothing there, not even a lump of bark
  double place_rms_m = 0;   ///< of the found ones, along and around
  double height_rms_m = 0;  ///< of the found ones
};

KnotErrors judge_knots(const LogModel& log, const simulate::Truth& truth, double least_height_m);

}  // namespace flitchwise::testing
