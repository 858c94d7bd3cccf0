#pragma once
/// How much green wood shrinks as it dries, and the green size of a board that is wanted dry and planed.

#include "scan/model/limits.hpp"
#include "scan/model/species.hpp"

namespace flitchwise {

/// Shrinkage from green to a moisture content, as a share of the green size. Tangential: the larger one,
/// which any face of a board may have.
struct ShrinkageEstimate {
  double tangential_share = 0;
  ShrinkageSource source;
};

/// Moisture in percent of the oven-dry weight, [0, 60]; BadUse outside. nullptr, and a species without a
/// figure, give the largest of the table, so that no board comes out too small.
///
/// S = S0 (1 - M / 30) below fibre saturation at 30 %, none above (USDA Wood Handbook, FPL-GTR-190, chapter
/// 4; 30 % stands for all species there, p. 4-2).
ShrinkageEstimate shrinkage(const Species* species, double moisture_percent);

struct GreenSizeOptions {
  double moisture_percent = 18;  ///< of the finished board: dried in the open air under a roof; [0, 60]
  double planing_m = 0.004;      ///< what planing takes off, both faces together; common practice, no source;
                                 ///< [0, 0.03]
  double saw_variation_m = 0.003;  ///< what the saw may be off within a board; common practice, no source;
                                   ///< [0, 0.03]
};
FLITCHWISE_FIELDS(GreenSizeOptions, moisture_percent, planing_m, saw_variation_m)
constexpr auto limits_of(const GreenSizeOptions*) {
  return std::tuple{Limit{&GreenSizeOptions::moisture_percent, {0, 60}},
                    Limit{&GreenSizeOptions::planing_m, {0, 0.03}},
                    Limit{&GreenSizeOptions::saw_variation_m, {0, 0.03}}};
}

/// Green, rough size of one dimension that is wanted dry and planed: (dry + planing + variation) / (1 - S),
/// rounded up to half a millimetre.
double green_size_m(double dry_m, const ShrinkageEstimate& shrinkage, const GreenSizeOptions& options);

}  // namespace flitchwise
