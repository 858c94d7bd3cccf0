#include "tools/report/ask.hpp"

#include "scan/fit/seams.hpp"

namespace flitchwise::report {
namespace {

using Asks = std::vector<Ask>;

struct AsksOf {
  Asks operator()(const scan::ScanFact& fact) const { return std::visit(*this, fact); }

  Asks operator()(const scan::BarkNotGiven& /*fact*/) const { return {Ask::bark}; }
  Asks operator()(const scan::BarkDiffers& /*fact*/) const { return {Ask::bark}; }
  Asks operator()(const scan::ScaleUnchecked& /*fact*/) const { return {Ask::scale_length}; }
  Asks operator()(const scan::NoLogOfTapeLength& /*fact*/) const { return {Ask::scale_length}; }
  Asks operator()(const scan::SceneOfOtherSize& /*fact*/) const { return {Ask::unit, Ask::scale_length}; }
  Asks operator()(const scan::LogTooLong& /*fact*/) const { return {Ask::unit, Ask::scale_length}; }
  Asks operator()(const scan::LogOfOtherUnit& /*fact*/) const { return {Ask::unit, Ask::scale_length}; }
  Asks operator()(const scan::ScalePointsOutside& /*fact*/) const { return {Ask::scale_points}; }
  Asks operator()(const scan::UpAssumed& /*fact*/) const { return {Ask::up}; }
  Asks operator()(const scan::NoLog& /*fact*/) const { return {Ask::unit, Ask::up}; }
  Asks operator()(const scan::TooThin& /*fact*/) const { return {Ask::unit, Ask::near}; }
  Asks operator()(const scan::NoLogNear& /*fact*/) const { return {Ask::near}; }
  Asks operator()(const scan::RivalLog& /*fact*/) const { return {Ask::near}; }
  Asks operator()(const scan::EndNotSeen& /*fact*/) const {
    return {Ask::scan_again, Ask::allow_unseen_ends};
  }
  Asks operator()(const scan::OneSideSeen& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::HalfUnseen& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::NoRoundSurface& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::NoSoundShape& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::NoClearSurface& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::ScanUnlike& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::ScanAmbiguous& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::ScanBends& /*fact*/) const { return {Ask::scan_again}; }
  Asks operator()(const scan::Seam& seam) const {
    return scan::spoils_the_scan(seam) ? Asks{Ask::scan_again} : Asks{};
  }
  Asks operator()(const scan::TooFewPoints& /*fact*/) const { return {Ask::export_again, Ask::scan_again}; }
  Asks operator()(const scan::NoExtent& /*fact*/) const { return {Ask::export_again}; }
  Asks operator()(const scan::ScanScaled& /*fact*/) const { return {Ask::export_again}; }
  Asks operator()(const scan::ScanOtherSize& /*fact*/) const { return {Ask::export_again}; }
  template <typename Other>
  Asks operator()(const Other& /*fact*/) const {
    return {};
  }
};

}  // namespace

std::vector<Ask> asks_of(const Fact& fact) {
  return std::visit(AsksOf{}, fact);
}

}  // namespace flitchwise::report
