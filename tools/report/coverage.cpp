#include "tools/report/coverage.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "tools/report/quantities.hpp"

namespace flitchwise::report {
namespace {

constexpr int kSides = 4;
constexpr double kLeastSeen = 1.0 / 3;    // of a side: two thirds can be carried over from its neighbours
constexpr double kLeastStretch_m = 0.20;  // shorter ones lie between two photographs and do no harm
constexpr double kJoin_m = 0.25;          // stretches that lie this near to each other are told as one
constexpr double kWhole_m = 0.15;         // a stretch that ends this near to both ends is the whole log

/// Share of each quarter that was seen at a station.
std::vector<double> seen_by_side(const Station& station) {
  std::vector<double> seen(kSides, 0);
  std::vector<double> all(kSides, 0);
  const auto n = station.seen.size();
  for (std::size_t k = 0; k < n; ++k) {
    const double quarters = kSides * static_cast<double>(k) / static_cast<double>(n);  // 0 is left, 1 is up
    const auto side = static_cast<std::size_t>(std::lround(quarters)) % kSides;
    all[side] += 1;
    seen[side] += station.seen[k] != 0 ? 1 : 0;
  }
  for (std::size_t side = 0; side < kSides; ++side) {
    seen[side] /= all[side];
  }
  return seen;
}

const char* name_of(Side side) {
  switch (side) {
    case Side::left:
      return "left side";
    case Side::top:
      return "top";
    case Side::right:
      return "right side";
    case Side::underside:
      return "underside";
  }
  return "";
}

}  // namespace

std::vector<UnseenStretch> unseen_stretches(const LogModel& log) {
  std::vector<std::vector<double>> seen;
  for (const Station& station : log.stations) {
    seen.push_back(seen_by_side(station));
  }
  std::vector<UnseenStretch> stretches;
  for (std::size_t side = 0; side < kSides; ++side) {
    std::vector<UnseenStretch> of_side;
    for (std::size_t i = 0; i < seen.size(); ++i) {
      if (seen[i][side] >= kLeastSeen) {
        continue;
      }
      const double x_m = log.stations[i].x_m;
      if (of_side.empty() || x_m - of_side.back().to_m > kJoin_m) {
        of_side.push_back({static_cast<Side>(side), x_m, x_m});
      }
      of_side.back().to_m = x_m;
    }
    std::copy_if(of_side.begin(), of_side.end(), std::back_inserter(stretches),
                 [](const UnseenStretch& s) { return s.to_m - s.from_m >= kLeastStretch_m; });
  }
  return stretches;
}

std::string in_words(const UnseenStretch& stretch, double log_length_m) {
  const std::string side = name_of(stretch.side);
  if (stretch.from_m < kWhole_m && stretch.to_m > log_length_m - kWhole_m) {
    return "along the whole " + side;
  }
  return "between " + fixed(stretch.from_m, 1) + " and " + fixed(stretch.to_m, 1) + " m on the " + side;
}

}  // namespace flitchwise::report
