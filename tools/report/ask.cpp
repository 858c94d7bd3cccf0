#include "tools/report/ask.hpp"

#include "scan/fit/seams.hpp"

namespace flitchwise::report {
namespace {

template <typename... Kinds>
bool is_any(const scan::ScanFact& fact) {
  return (std::holds_alternative<Kinds>(fact) || ...);
}

}  // namespace

std::vector<Ask> asks_of(const Fact& told) {
  using namespace scan;
  const auto* fact = std::get_if<ScanFact>(&told);
  if (fact == nullptr) {
    return {};
  }
  std::vector<Ask> asks;
  const auto ask_if = [&](bool asked, Ask ask) {
    if (asked) {
      asks.push_back(ask);
    }
  };
  const auto* seam = std::get_if<Seam>(fact);
  const bool is_spoilt = seam != nullptr && spoils_the_scan(*seam);
  ask_if(is_any<BarkNotGiven, BarkDiffers>(*fact), Ask::bark);
  ask_if(is_any<NoLog, SceneOfOtherSize, LogTooLong, LogOfOtherUnit, TooThin>(*fact), Ask::unit);
  ask_if(is_any<ScaleUnchecked, NoLogOfTapeLength, SceneOfOtherSize, LogTooLong, LogOfOtherUnit>(*fact),
         Ask::scale_length);
  ask_if(is_any<ScalePointsOutside>(*fact), Ask::scale_points);
  ask_if(is_any<UpAssumed, NoLog>(*fact), Ask::up);
  ask_if(is_any<NoLogNear, RivalLog, TooThin>(*fact), Ask::near);
  ask_if(is_any<TooFewPoints, NoExtent, ScanScaled, ScanOtherSize>(*fact), Ask::export_again);
  ask_if(is_spoilt || is_any<EndNotSeen, OneSideSeen, HalfUnseen, NoRoundSurface, NoSoundShape,
                             NoClearSurface, TooFewPoints, ScanUnlike, ScanAmbiguous, ScanBends>(*fact),
         Ask::scan_again);
  ask_if(is_any<EndNotSeen>(*fact), Ask::allow_unseen_ends);
  return asks;
}

}  // namespace flitchwise::report
