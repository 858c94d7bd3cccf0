#pragma once
/// A piece of a log as a log of its own.

#include "scan/model/log_model.hpp"

namespace flitchwise {

/// What is left between two cross-cuts at `from_m` and `to_m` (x in the log frame, both square to its x
/// axis), as a model with its own log frame: chord through the piece's own centreline, own sections square to
/// it, end planes, pith, knots within. The scan frame stays, so plans of the piece lie where they lie in the
/// whole log. At the log's own ends (from_m = 0, to_m = usable length) its own end planes are kept. The
/// piece's small end is the one that lay nearer to the log's.
///
/// Throws BadUse if the model is broken, or unless 0 <= from_m, to_m <= usable length and the piece is at
/// least kShortestPiece_m long.
LogModel cut_out(const LogModel& log, double from_m, double to_m);

constexpr double kShortestPiece_m = 0.2;

}  // namespace flitchwise
