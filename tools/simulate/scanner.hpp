#pragma once
/// How an invented log is scanned: from where, how finely, and with which errors.

#include <cstdint>
#include <vector>

namespace flitchwise::simulate {

/// A walk round the log with the camera.
struct Ring {
  double height_m = 1.5;    ///< above the ground; [0.1, 5]
  double distance_m = 1.5;  ///< from the log's axis and from its ends; [0.5, 10]
  int cameras = 40;         ///< on the walk; [3, 500]
};

struct Scanner {
  std::vector<Ring> rings = {Ring{}};  ///< at least one
  double height_spread_m = 0.1;        ///< each camera's height varies by up to this; [0, 0.5]
  double most_incidence_rad =
      1.34;                    ///< a surface seen more slantingly gives no points (77 degrees); (0, pi/2]
  bool full_coverage = false;  ///< true: every side of the log is scanned, whatever stands before it
  double keep_part = 1;        ///< share of the log's length, from the small end, that the scan shows; (0, 1]

  double spacing_m = 0.006;         ///< of the points on the log; [0.001, 0.1]
  double ground_spacing_m = 0.014;  ///< of the points on the ground and on neighbour logs; [0.001, 0.2]

  double white_sigma_m = 0;            ///< of each point along the normal, independent; [0, 0.05]
  double correlated_sigma_m = 0;       ///< the same, but neighbours err together; [0, 0.05]
  double correlation_length_m = 0.06;  ///< covariance exp(-d^2 / (2 length^2)); > 0
  double floater_share = 0;            ///< of the points, that float some cm off every surface; [0, 0.2]
  double facet_m = 0;  ///< rounded sides come out boxy: corners stand up to this far above flats, in
                       ///< pieces along the log; [0, 0.05]
  int facets = 7;      ///< flats round the log; [3, 24]
  /// The scan walks off along the log at random: RMS from end to end, all directions together. What bends the
  /// log of it is about a third, RMS across the log; [0, 0.1]
  double drift_m = 0;
  double doubled_m = 0;          ///< distance of a second copy of the surface; 0: none; [0, 0.1]
  double doubled_arc_rad = 1.6;  ///< part of the circumference that is doubled; (0, 2 pi]
  double loop_step_m = 0;        ///< the walk's end misses its start by this; [0, 0.2]
  double scale_error = 0;        ///< the whole scan is this share too large; [-0.2, 0.2]
};

/// Points on the true surface, from the walk's viewpoints.
Scanner perfect_scanner();
/// Like a cloud from photographs: dense, with small errors of which some go together over some cm. Papers
/// report 3.9 to 5.2 mm RMSE in diameter for circles on photographed stems (perimeter 12.3 to 16.3 mm;
/// Jurjevic et al. 2018, Geodetski list 72(3)), in which the scale's error and sections that are not round
/// have their part: give `scale_error` for the one, `ovality` and knots make the other.
Scanner photo_scanner();
/// Like a cloud from a phone's depth sensor: coarse, boxy, bent a little. Papers report 6.3 mm RMSE in
/// diameter and more (Xiang, Fei and Zhang 2025, Sensors 25(16) 5060). White and correlated noise as measured
/// on a phone's depth scan; the drift is our judgement from papers on phone scans: 10 to 20 mm over a log.
Scanner depth_scanner();

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const Scanner& scanner);

}  // namespace flitchwise::simulate
