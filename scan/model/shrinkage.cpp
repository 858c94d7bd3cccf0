#include "scan/model/shrinkage.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "scan/model/errors.hpp"

namespace flitchwise {
namespace {

constexpr double kFibreSaturationPercent = 30;
constexpr double kPercent = 100;

struct ShrinkageRow {
  const char* name;
  double radial_percent;
  double tangential_percent;
  ShrinkageSource::Read read = ShrinkageSource::Read::in_table;
};

constexpr auto kSecondText = ShrinkageSource::Read::in_second_text;
constexpr auto kUnread = ShrinkageSource::Read::from_memory;

/// From green to oven-dry, in % of the green size: USDA Wood Handbook, FPL-GTR-190 (2010), Table 4-3. Every
/// row was read in a copy of that table unless it says otherwise.
constexpr ShrinkageRow kRows[] = {
    // clang-format off
    {"Alder, red", 4.4, 7.3},
    {"Ash, black", 5, 7.8},
    {"Ash, green", 4.6, 7.1},
    {"Ash, white", 4.9, 7.8},
    {"Aspen, quaking", 3.5, 6.7},
    {"Basswood, American", 6.6, 9.3},
    {"Beech, American", 5.5, 11.9},
    {"Birch, paper", 6.3, 8.6},
    {"Birch, sweet", 6.5, 9},
    {"Birch, yellow", 7.3, 9.5},
    {"Butternut", 3.4, 6.4},
    {"Cedar, Port-Orford", 4.6, 6.9},
    {"Cedar, northern white", 2.2, 4.9},
    {"Cedar, yellow", 2.8, 6},
    {"Cherry, black", 3.7, 7.1},
    {"Cottonwood, eastern", 3.9, 9.2},
    {"Douglas-fir, coast", 4.8, 7.6},
    {"Elm, American", 4.2, 9.5},
    {"Fir, Pacific silver", 4.4, 9.2},
    {"Fir, balsam", 2.9, 6.9},
    {"Fir, grand", 3.4, 7.5},
    {"Fir, noble", 4.3, 8.3},
    {"Fir, white", 3.3, 7},
    {"Hackberry", 4.8, 8.9},
    {"Hemlock, western", 4.2, 7.8, kSecondText},
    {"Incense-cedar", 3.3, 5.2},
    {"Larch, western", 4.5, 9.1, kSecondText},
    {"Locust, black", 4.6, 7.2, kUnread},
    {"Maple, sugar", 4.8, 9.9, kSecondText},
    {"Oak, northern red", 4, 8.6, kSecondText},
    {"Oak, white", 5.6, 10.5},
    {"Pine, eastern white", 2.1, 6.1, kSecondText},
    {"Pine, loblolly", 4.8, 7.4, kUnread},
    {"Pine, lodgepole", 4.3, 6.7, kUnread},
    {"Pine, longleaf", 5.1, 7.5, kUnread},
    {"Pine, ponderosa", 3.9, 6.2, kUnread},
    {"Redcedar, eastern", 3.1, 4.7},
    {"Redcedar, western", 2.4, 5},
    {"Redwood, old-growth", 2.6, 4.4, kUnread},
    {"Spruce, Engelmann", 3.8, 7.1, kSecondText},
    {"Spruce, Sitka", 4.3, 7.5, kSecondText},
    {"Sweetgum", 5.3, 10.2},
    {"Sycamore, American", 5, 8.4},
    {"Walnut, black", 5.5, 7.8},
    {"Yellow-poplar", 4.6, 8.2},
    // clang-format on
};

const ShrinkageRow* row_of(const Species* species) {
  if (species == nullptr) {
    return nullptr;
  }
  const auto row = std::find_if(std::begin(kRows), std::end(kRows),
                                [&](const ShrinkageRow& each) { return species->name == each.name; });
  return row == std::end(kRows) ? nullptr : row;
}

}  // namespace

ShrinkageEstimate shrinkage(const Species* species, double moisture_percent) {
  require_within(range_of<&GreenSizeOptions::moisture_percent>(), moisture_percent, "moisture_percent");
  const double share = std::max(0.0, 1 - moisture_percent / kFibreSaturationPercent);
  if (const ShrinkageRow* row = row_of(species)) {
    return {row->tangential_percent / kPercent * share, {row->name, row->read}};
  }
  const auto most = std::max_element(std::begin(kRows), std::end(kRows), [](const auto& a, const auto& b) {
    return a.tangential_percent < b.tangential_percent;
  });
  return {most->tangential_percent / kPercent * share, {}};
}

double green_size_m(double dry_m, const ShrinkageEstimate& shrinkage, const GreenSizeOptions& options) {
  constexpr double kStep_m = 0.0005;
  constexpr double kRounding = 1e-9;
  require(dry_m > 0, "a board's dry size must be positive");
  check_limits(options);
  const double green_m =
      (dry_m + options.planing_m + options.saw_variation_m) / (1 - shrinkage.tangential_share);
  return std::ceil(green_m / kStep_m - kRounding) * kStep_m;
}

}  // namespace flitchwise
