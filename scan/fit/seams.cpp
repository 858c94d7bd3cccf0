#include "scan/fit/seams.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <numeric>
#include <optional>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

// Doubled surfaces: cells in which the points lie in two layers.
constexpr double kCell_m = 0.10;
constexpr int kCellAngles = 30;
constexpr double kReach_m = 0.09;       // off the fitted surface
constexpr double kLowestSine = -0.45;   // lower down grass, blocks and bearers make a second layer
constexpr std::size_t kLeastLayer = 5;  // points
constexpr double kLeastLayerShare = 0.12;
constexpr double kLeastApart_m = 0.009;  // bark ridges are less
constexpr double kMostApart_m = 0.075;   // of an error of a scan; more is another thing
// Distance of the layers' means over their scatter: 2.7 for one normal layer, 3.5 for an even spread.
constexpr double kClearlyTwo = 4.2;
constexpr double kSameApart = 0.35;  // share by which cells of one seam differ in their distance
constexpr std::size_t kLeastCells = 8;
constexpr double kLeastLength_m = 0.3;
constexpr double kLeastArc_rad = 0.35;  // loose bark and branches are narrower or shorter
constexpr double kLeastWide = 2;        // times its distance: a log beside this one shows a narrower strip
constexpr double kLeastFilled = 0.45;   // of the box of place and angle around a seam's cells
// How steeply the outer layer rises: round the log at most 0.24 on 32 doubled scans, along it 0.05; of what
// touched the log on 40 cluttered ones round it 0.29 and more (but for two: 0.18), along it up to 0.8. A copy
// that is moved to one side rises round the log by up to its distance over the radius.
constexpr double kMostSteep = 0.18;
constexpr double kSteepOfMoved = 0.25;
constexpr double kMostSteepAlong = 0.10;

// Steps: lines through the surface on both sides of a place that miss each other there.
constexpr int kStepAngles = 120;
constexpr double kStepCell_m = 0.25;
constexpr double kStepNear_rad = 0.04;
constexpr double kStepFar_rad = 0.42;
constexpr double kLeastStep_m = 0.010;     // mean along the seam
constexpr double kLeastStepResiduals = 3;  // of the scan's scatter: depth sensors make round sides boxy
constexpr double kLeastStepHere_m = 0.0045;
constexpr std::size_t kStepRun = 4;       // cells along the log: 1 m
constexpr double kStepRunShare = 0.6;     // of the log: a walk that does not close leaves its step all along
constexpr double kLowestStepSine = -0.2;  // lower down the outline is seen on one side only
constexpr std::size_t kLeastSidePoints = 6;  // of the 7 cells within reach

// A plan rests on the surface: a second one this far off, over this length, leaves it open which is true.
constexpr double kSpoilsApart_m = 0.015;
constexpr double kSpoilsLength_m = 0.8;
constexpr double kSpoilsAlways_m = 0.03;

struct Polar {
  double x_m = 0;
  double theta_rad = 0;
  double radius_m = 0;
  double off_m = 0;  // from the fitted bark
};

double wrapped(double angle) {
  return angle - 2 * pi * std::floor(angle / (2 * pi));
}

std::vector<Polar> polar_points(const std::vector<Eigen::Vector3d>& points_m, const LogModel& log) {
  std::vector<Polar> points;
  const double spacing_m = log.usable_length_m() / static_cast<double>(log.stations.size() - 1);
  const auto add = [&](const Eigen::Vector3d& in_scan) {
    const Eigen::Vector3d p = log.frame.to_log(in_scan);
    if (p.x() < 0 || p.x() > log.usable_length_m()) {
      return;
    }
    const auto i =
        std::min(log.stations.size() - 1, static_cast<std::size_t>(std::lround(p.x() / spacing_m)));
    const Station& station = log.stations[i];
    const Eigen::Vector2d d = p.tail<2>() - station.centre_m;
    Polar polar{p.x(), wrapped(std::atan2(d.y(), d.x())), d.norm(), 0};
    const auto n = station.bark_radius_m.size();
    const auto k = static_cast<Eigen::Index>(polar.theta_rad / (2 * pi) * static_cast<double>(n)) % n;
    polar.off_m = polar.radius_m - station.bark_radius_m[k];
    if (std::abs(polar.off_m) < kReach_m) {
      points.push_back(polar);
    }
  };
  std::for_each(points_m.begin(), points_m.end(), add);
  return points;
}

/// A point of a cell: off the fitted surface, and on it round the log and along the log.
struct CellPoint {
  double off_m = 0;
  double around_m = 0;
  double along_m = 0;
};

/// Points that lie in two layers.
struct TwoLayers {
  double apart_m = 0;
  /// Of the outer layer's points about their middle: sums of squares and products, in the order round the
  /// log, along it, off the surface.
  Eigen::Matrix3d spread_m2 = Eigen::Matrix3d::Zero();
};

Eigen::Matrix3d spread_of(const CellPoint* begin, const CellPoint* end) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const CellPoint* p = begin; p != end; ++p) {
    middle += Eigen::Vector3d(p->around_m, p->along_m, p->off_m) / static_cast<double>(end - begin);
  }
  Eigen::Matrix3d spread_m2 = Eigen::Matrix3d::Zero();
  for (const CellPoint* p = begin; p != end; ++p) {
    const Eigen::Vector3d d = Eigen::Vector3d(p->around_m, p->along_m, p->off_m) - middle;
    spread_m2 += d * d.transpose();
  }
  return spread_m2;
}

/// Empty if a cell's points lie in one layer. Sorts them.
std::optional<TwoLayers> two_layers(std::vector<CellPoint>& points) {
  const std::size_t n = points.size();
  if (n < 2 * kLeastLayer) {
    return std::nullopt;
  }
  std::sort(points.begin(), points.end(),
            [](const CellPoint& a, const CellPoint& b) { return a.off_m < b.off_m; });
  std::vector<double> sum{0};
  std::vector<double> squares{0};
  for (const CellPoint& p : points) {
    sum.push_back(sum.back() + p.off_m);
    squares.push_back(squares.back() + p.off_m * p.off_m);
  }
  const auto least =
      std::max(kLeastLayer, static_cast<std::size_t>(kLeastLayerShare * static_cast<double>(n)));
  double best_scatter = std::numeric_limits<double>::infinity();
  double apart = 0;
  std::size_t split = 0;
  for (std::size_t k = least; k + least <= n; ++k) {  // Otsu's split
    const auto low = static_cast<double>(k);
    const auto high = static_cast<double>(n - k);
    const double scatter =
        (squares[n] - sum[k] * sum[k] / low - (sum[n] - sum[k]) * (sum[n] - sum[k]) / high) /
        static_cast<double>(n);
    if (scatter < best_scatter) {
      best_scatter = scatter;
      split = k;
      apart = (sum[n] - sum[k]) / high - sum[k] / low;
    }
  }
  const bool two = apart > kLeastApart_m && apart < kMostApart_m &&
                   apart > kClearlyTwo * std::sqrt(std::max(best_scatter, 1e-12));
  if (!two) {
    return std::nullopt;
  }
  const CellPoint* first = points.data();
  return TwoLayers{apart, spread_of(first + split, first + n)};
}

struct Grid {
  int nx = 0;
  double step_m = 0;
  std::vector<TwoLayers> cells;  // apart_m is 0 where the surface is single
};

Grid layers(const std::vector<Polar>& points, double length_m) {
  Grid grid;
  grid.nx = std::max(1, static_cast<int>(std::lround(length_m / kCell_m)));
  grid.step_m = length_m / grid.nx;
  std::vector<std::vector<CellPoint>> points_of(static_cast<std::size_t>(grid.nx * kCellAngles));
  for (const Polar& p : points) {
    if (std::sin(p.theta_rad) > kLowestSine) {
      const int ix = std::min(grid.nx - 1, static_cast<int>(p.x_m / grid.step_m));
      const int k = std::min(kCellAngles - 1, static_cast<int>(p.theta_rad / (2 * pi) * kCellAngles));
      const double angle = p.theta_rad - 2 * pi * (k + 0.5) / kCellAngles;
      points_of[static_cast<std::size_t>(ix * kCellAngles + k)].push_back(
          {p.off_m, p.radius_m * angle, p.x_m - (ix + 0.5) * grid.step_m});
    }
  }
  for (auto& cell : points_of) {
    grid.cells.push_back(two_layers(cell).value_or(TwoLayers{}));
  }
  return grid;
}

/// Cells of one seam: neighbours that are alike.
std::vector<int> grow(const Grid& grid, int start, std::vector<char>& done) {
  std::vector<int> seam{start};
  done[static_cast<std::size_t>(start)] = 1;
  for (std::size_t next = 0; next < seam.size(); ++next) {
    const int ix = seam[next] / kCellAngles;
    const int k = seam[next] % kCellAngles;
    const double here = grid.cells[static_cast<std::size_t>(seam[next])].apart_m;
    for (int d = 0; d < 9; ++d) {
      const int jx = ix + d / 3 - 1;
      const int other = jx * kCellAngles + (k + d % 3 - 1 + kCellAngles) % kCellAngles;
      if (jx < 0 || jx >= grid.nx || done[static_cast<std::size_t>(other)] != 0) {
        continue;
      }
      const double there = grid.cells[static_cast<std::size_t>(other)].apart_m;
      if (there > 0 && std::abs(there - here) < kSameApart * std::max(there, here)) {
        done[static_cast<std::size_t>(other)] = 1;
        seam.push_back(other);
      }
    }
  }
  return seam;
}

enum class Way { around, along };

/// How steeply the outer layer rises from the surface in one of both ways: the median over a seam's cells.
/// Those at one angle, or at one place along the log, are taken together, as few points of a coarse scan lie
/// in each. A layer as thick as it is wide counts as steep.
double steepness(const Grid& grid, const std::vector<int>& cells, Way way) {
  const auto group = [&](int cell) { return way == Way::around ? cell % kCellAngles : cell / kCellAngles; };
  std::map<int, Eigen::Matrix3d> spreads_m2;
  for (const int cell : cells) {
    Eigen::Matrix3d& spread_m2 = spreads_m2.try_emplace(group(cell), Eigen::Matrix3d::Zero()).first->second;
    spread_m2 += grid.cells[static_cast<std::size_t>(cell)].spread_m2;
  }
  const int axis = way == Way::around ? 0 : 1;
  std::vector<double> steep;
  for (const int cell : cells) {
    const Eigen::Matrix3d& m = spreads_m2.at(group(cell));
    steep.push_back(std::abs(std::tan(std::atan2(2 * m(axis, 2), m(axis, axis) - m(2, 2)) / 2)));
  }
  return median(std::move(steep));
}

/// The outer layer runs along the inner one: a copy of the surface, moved by some millimetres. Logs, blocks
/// and branches that touch the log rise from it.
bool runs_along(const Grid& grid, const std::vector<int>& cells, double apart_m, double radius_m) {
  return steepness(grid, cells, Way::around) <= kMostSteep + kSteepOfMoved * apart_m / radius_m &&
         steepness(grid, cells, Way::along) <= kMostSteepAlong;
}

std::optional<Seam> seam_of(const Grid& grid, const std::vector<int>& cells, double radius_m) {
  Seam seam;
  int least = grid.nx;
  int most = -1;
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  std::array<bool, kCellAngles> angles{};
  for (const int cell : cells) {
    least = std::min(least, cell / kCellAngles);
    most = std::max(most, cell / kCellAngles);
    const double theta = 2 * pi * (cell % kCellAngles + 0.5) / kCellAngles;
    middle += Eigen::Vector2d(std::cos(theta), std::sin(theta));
    angles[static_cast<std::size_t>(cell % kCellAngles)] = true;
    seam.apart_m += grid.cells[static_cast<std::size_t>(cell)].apart_m / static_cast<double>(cells.size());
  }
  const auto wide = static_cast<double>(std::count(angles.begin(), angles.end(), true));
  seam.begin_m = least * grid.step_m;
  seam.end_m = (most + 1) * grid.step_m;
  seam.theta_rad = std::atan2(middle.y(), middle.x());
  seam.arc_rad = wide * 2 * pi / kCellAngles;
  const double filled = static_cast<double>(cells.size()) / (wide * (most - least + 1));
  const bool real = cells.size() >= kLeastCells && seam.end_m - seam.begin_m >= kLeastLength_m &&
                    seam.arc_rad >= std::max(kLeastArc_rad, kLeastWide * seam.apart_m / radius_m) &&
                    filled >= kLeastFilled && runs_along(grid, cells, seam.apart_m, radius_m);
  return real ? std::optional(seam) : std::nullopt;
}

void find_doubled(const std::vector<Polar>& points, const LogModel& log, std::vector<Seam>& seams) {
  const Grid grid = layers(points, log.usable_length_m());
  const double radius_m = log.bark_diameter_m(log.stations.size() / 2) / 2;
  std::vector<char> done(grid.cells.size(), 0);
  for (int cell = 0; cell < static_cast<int>(done.size()); ++cell) {
    if (grid.cells[static_cast<std::size_t>(cell)].apart_m > 0 && done[static_cast<std::size_t>(cell)] == 0) {
      if (const auto seam = seam_of(grid, grow(grid, cell, done), radius_m)) {
        seams.push_back(*seam);
      }
    }
  }
}

/// Median radius of each cell of place and angle; NaN where there are too few points.
std::vector<double> medians(const std::vector<Polar>& points, double length_m, int nx) {
  std::vector<std::vector<double>> radii(static_cast<std::size_t>(nx * kStepAngles));
  for (const Polar& p : points) {
    const int ix = std::min(nx - 1, static_cast<int>(p.x_m / length_m * nx));
    const int k = std::min(kStepAngles - 1, static_cast<int>(p.theta_rad / (2 * pi) * kStepAngles));
    radii[static_cast<std::size_t>(ix * kStepAngles + k)].push_back(p.radius_m);
  }
  std::vector<double> result;
  for (auto& cell : radii) {
    result.push_back(cell.size() < 3 ? std::nan("") : median(std::move(cell)));
  }
  return result;
}

/// Radius at an angle by the line through the cells on one side of it (`way` +1 or -1); NaN if too few.
double from_side(const std::vector<double>& ring, int at, int way) {
  double n = 0;
  double su = 0;
  double sr = 0;
  double suu = 0;
  double sur = 0;
  for (int k = 0; k < kStepAngles / 4; ++k) {
    const double u = (k + 0.5) * 2 * pi / kStepAngles;
    const int cell = ((way > 0 ? at + k : at - 1 - k) + kStepAngles) % kStepAngles;
    const double r = ring[static_cast<std::size_t>(cell)];
    if (u > kStepNear_rad && u < kStepFar_rad && std::isfinite(r)) {
      n += 1;
      su += u;
      sr += r;
      suu += u * u;
      sur += u * r;
    }
  }
  const double spread = n * suu - su * su;
  return n < static_cast<double>(kLeastSidePoints) || spread <= 0 ? std::nan("")
                                                                  : (sr * suu - su * sur) / spread;
}

/// How far the surface jumps at each place and angle.
std::vector<double> jumps_of(const std::vector<double>& radii, int nx) {
  std::vector<double> jumps;
  for (int ix = 0; ix < nx; ++ix) {
    const std::vector<double> ring(radii.begin() + ix * kStepAngles, radii.begin() + (ix + 1) * kStepAngles);
    for (int k = 0; k < kStepAngles; ++k) {
      jumps.push_back(from_side(ring, k, 1) - from_side(ring, k, -1));
    }
  }
  return jumps;
}

/// The highest step that runs along the log for a metre or more and is at least `least_m` high.
void find_step(const std::vector<Polar>& points, double length_m, double least_m, std::vector<Seam>& seams) {
  const int nx = std::max(1, static_cast<int>(std::lround(length_m / kStepCell_m)));
  const std::vector<double> all = medians(points, length_m, nx);
  const std::vector<double> jumps = jumps_of(all, nx);
  const int least_run =
      std::max(static_cast<int>(kStepRun), static_cast<int>(std::lround(kStepRunShare * nx)));
  std::optional<Seam> best;
  for (int k = 0; k < kStepAngles; ++k) {
    const double theta = 2 * pi * k / kStepAngles;
    for (int begin = 0; begin < nx && std::sin(theta) > kLowestStepSine; ++begin) {
      double sum = 0;
      int end = begin;
      const double sign = jumps[static_cast<std::size_t>(begin * kStepAngles + k)] < 0 ? -1 : 1;
      while (end < nx && sign * jumps[static_cast<std::size_t>(end * kStepAngles + k)] > kLeastStepHere_m) {
        sum += sign * jumps[static_cast<std::size_t>(end * kStepAngles + k)];
        ++end;
      }
      const int run = end - begin;
      const double mean = run > 0 ? sum / run : 0;
      if (run >= least_run && mean > least_m &&
          (!best || sum > best->apart_m * (best->end_m - best->begin_m) / length_m * nx)) {
        best = Seam{Seam::Kind::step, begin * length_m / nx, end * length_m / nx, theta, 0, mean};
      }
    }
  }
  if (best) {
    seams.push_back(*best);
  }
}

}  // namespace

std::vector<Seam> find_seams(const LogCloud& log_cloud, const LogModel& log) {
  std::vector<Seam> seams;
  if (log.stations.size() < 2) {
    return seams;
  }
  std::vector<Polar> points = polar_points(log_cloud.surface_m, log);
  find_step(points, log.usable_length_m(), std::max(kLeastStep_m, kLeastStepResiduals * log.residual_m),
            seams);
  const std::vector<Polar> beside = polar_points(log_cloud.beside_m, log);
  points.insert(points.end(), beside.begin(), beside.end());
  find_doubled(points, log, seams);
  const auto grave = [](const Seam& s) { return s.apart_m * (s.end_m - s.begin_m); };
  std::stable_sort(seams.begin(), seams.end(),
                   [&](const Seam& a, const Seam& b) { return grave(a) > grave(b); });
  return seams;
}

bool spoils_the_scan(const Seam& seam) {
  const double length_m = seam.end_m - seam.begin_m;
  return seam.apart_m >= kSpoilsAlways_m || (seam.apart_m >= kSpoilsApart_m && length_m >= kSpoilsLength_m);
}

}  // namespace flitchwise::scan
