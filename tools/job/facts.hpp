#pragma once
/// What a result has to tell: why there is no plan, and what to mind of one. A struct a kind, with its
/// quantities; tools/report/fact_words.hpp makes words of them.

#include <string>
#include <variant>

#include "scan/model/fields.hpp"
#include "scan/model/scan_facts.hpp"
#include "scan/model/sources.hpp"

namespace flitchwise {

/// The pith of one end was measured, but not that of this one.
struct PithNotMeasured {
  bool large_end = false;
};
FLITCHWISE_FIELDS(PithNotMeasured, large_end)

/// What is sawn green for a board that is wanted dry and planed.
struct GreenSize {
  double dry_thickness_m = 0;
  double dry_width_m = 0;
  double moisture_percent = 0;  ///< of the dry board
  double green_thickness_m = 0;
  double green_width_m = 0;
  double shrinkage_share = 0;  ///< tangential, of the green size
  ShrinkageSource shrinkage_source;
  double planing_m = 0;        ///< both faces together
  double saw_variation_m = 0;  ///< within a board
};
FLITCHWISE_FIELDS(GreenSize, dry_thickness_m, dry_width_m, moisture_percent, green_thickness_m, green_width_m,
                  shrinkage_share, shrinkage_source, planing_m, saw_variation_m)

/// The plan is for a piece of a log that is cut in two first.
struct PieceOfLog {
  bool small_end = true;  ///< which end of the log it has
  double cut_x_m = 0;     ///< middle of the cut, from the log's small end
};
FLITCHWISE_FIELDS(PieceOfLog, small_end, cut_x_m)

/// The scan's file cannot be read.
struct Unreadable {
  std::string why;  ///< what the reader said, after the file's name
};
FLITCHWISE_FIELDS(Unreadable, why)

/// A sentence that was made elsewhere, in millimetres.
struct Told {
  std::string words;
};
FLITCHWISE_FIELDS(Told, words)

using Fact = std::variant<scan::ScanFact,  //
                          PithNotMeasured, GreenSize, PieceOfLog, Unreadable, Told>;

}  // namespace flitchwise
