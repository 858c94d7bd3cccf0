#pragma once
/// Errors of the scan that no smooth log shows: a surface that appears twice, and a step where the walk round
/// the log did not close.

#include <string>
#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/model/log_model.hpp"

namespace flitchwise::scan {

/// A stretch of the log where the scan does not fit onto itself. Log frame.
struct Seam {
  enum class Kind { doubled, step };
  Kind kind = Kind::doubled;
  double begin_m = 0;  ///< along the log, from the small end
  double end_m = 0;
  double theta_rad = 0;  ///< middle of it round the log
  double arc_rad = 0;    ///< how far round the log it reaches; 0 for a step that runs along the log
  double apart_m = 0;    ///< between the two surfaces, or the height of the step
};

/// Every seam, the gravest (longest times widest apart) first.
std::vector<Seam> find_seams(const LogCloud& log_cloud, const LogModel& log);

/// One sentence: 'On the left side between 0.4 and 2.6 m from the small end the bark shows twice, 32 mm
/// apart.'
std::string in_words(const Seam& seam);

/// Too large or too long to plan around: the plan would rest on a guess which of the two is the log.
bool spoils_the_scan(const Seam& seam);

}  // namespace flitchwise::scan
