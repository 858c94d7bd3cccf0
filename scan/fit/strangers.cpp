#include "scan/fit/strangers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr int kRounds = 6;  // the shares settle to a hundredth
constexpr int kNone = -1;

double normal_below(double e) {
  return 0.5 * std::erfc(-e / std::numbers::sqrt2);
}

/// Density of a stranger over that of the log itself, where the place lies.
double odds(const Doubtful& place, const Strangers& strangers) {
  const double e = place.over_m / place.sigma_m;
  const double own = std::exp(-0.5 * e * e) / (std::sqrt(2 * pi) * place.sigma_m);
  // The surface is known by sigma only: what lies outside of it may lie inside of where it is expected.
  const double outside = strangers.outside_share * normal_below(e);
  const double inside = (1 - strangers.outside_share) * normal_below(-e);
  return (outside + inside) / strangers.reach_m / std::max(own, 1e-300);
}

/// The neighbours of every place, as indices.
std::vector<std::vector<int>> neighbours(const std::vector<Doubtful>& places, int columns,
                                         const Strangers& strangers) {
  int rows = 0;
  for (const Doubtful& p : places) {
    rows = std::max(rows, p.row + 1);
  }
  std::vector<int> grid(static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns), kNone);
  const auto at = [&](int row, int column) -> int& {
    return grid[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                static_cast<std::size_t>((column + columns) % columns)];
  };
  for (std::size_t i = 0; i < places.size(); ++i) {
    at(places[i].row, places[i].column) = static_cast<int>(i);
  }
  std::vector<std::vector<int>> result(places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Doubtful& p = places[i];
    const int last_row = std::min(rows - 1, p.row + strangers.rows_around);
    for (int row = std::max(0, p.row - strangers.rows_around); row <= last_row; ++row) {
      for (int off = -strangers.columns_around; off <= strangers.columns_around; ++off) {
        const int there = at(row, p.column + off);
        if (there != kNone && there != static_cast<int>(i)) {
          result[i].push_back(there);
        }
      }
    }
  }
  return result;
}

}  // namespace

std::vector<double> own_shares(const std::vector<Doubtful>& places, int columns, const Strangers& strangers) {
  const std::vector<std::vector<int>> around = neighbours(places, columns, strangers);
  std::vector<double> own;
  for (const Doubtful& place : places) {
    own.push_back(1 - place.others_share);
  }
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<double> before = own;
    for (std::size_t i = 0; i < places.size(); ++i) {
      double others = strangers.doubt_places * places[i].others_share;
      for (const int k : around[i]) {
        others += 1 - before[static_cast<std::size_t>(k)];
      }
      const double all = strangers.doubt_places + static_cast<double>(around[i].size());
      own[i] = (all - others) / (all - others + odds(places[i], strangers) * others);
    }
  }
  return own;
}

}  // namespace flitchwise::scan
