#include "scan/fit/assemble.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/fit/broad_knots.hpp"
#include "scan/model/species.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kMostBump_m = 0.15;  // what stands out further is not the log's own
constexpr double kMostDent_m = 0.06;
constexpr double kLowestKnot = -0.7;  // sine of the angle down to which knots are looked for
constexpr double kLeastLowerBump_m = 0.008;
constexpr double kLeastCell_m = 0.018;  // of the map of bumps: a knot covers several
constexpr double kPointsACell = 6;
constexpr double kUsuallySeen = 0.7;  // share of the surface that a walk round a log shows
constexpr double kLeastPointsACell = 2;
constexpr double kSeenShareOfCells = 0.5;
// Part of a cell's scatter that is still wrong about the bark after its own points were heard: they err
// together (correlated noise), so that their mean does not help much.
constexpr double kSeenShare = 0.6;
constexpr double kFineScan_m = 0.0027;    // scatter of scans from photographs on rough bark
constexpr double kCoarseScan_m = 0.0040;  // phone depth sensors scatter more than this
constexpr double kDrift_m = 0.015;        // of such a scan, from end to end of the log
constexpr double kDoubtfulBump = 1.8;     // of the scatter: a bump of this height is kept by half
constexpr double kShapeFloor_m = 0.0003;  // waves finer than the surface's family
constexpr double kDentSigmas = 2;         // dents deeper than this are missing wood, not noise
constexpr double kLeastDent_m = 0.005;
constexpr double kLeastWoodShare = 0.5;  // of the bark radius: bark is never thicker than wood

/// Heights of the points over the smooth surface, and where there are any, a station and an angle.
struct BumpMap {
  std::vector<Eigen::VectorXd> bump_m;
  std::vector<std::vector<char>> seen;
};

/// Points as heights over the smooth surface. What stands out below `upper_side` (sine of the angle) is as
/// likely ground, grass or a bearer.
std::vector<SurfacePoint> over_surface(const FittedLog& fitted, const std::vector<SurfacePoint>& points,
                                       double upper_side = kUpperSide) {
  const SmoothSurface& surface = fitted.surface;
  std::vector<SurfacePoint> heights;
  for (const SurfacePoint& p : points) {
    const double height_m = p.radius_m - surface.radius_m(p.x_m, p.theta_rad);
    const double most_m = std::sin(p.theta_rad) > upper_side
                              ? kMostBump_m
                              : std::max(kLeastLowerBump_m, 4 * surface.cell_sigma_m);
    if (height_m < most_m && height_m > -kMostDent_m) {
      heights.push_back({p.x_m, p.theta_rad, height_m});
    }
  }
  return heights;
}

/// A grid over the unrolled log, wide enough that a cell holds several points: one that floats must not look
/// like a stub. Values lie at the cells' middles.
struct HeightGrid {
  double begin_m = 0;
  double step_m = 0;
  Eigen::MatrixXd height_m;  // rows along the log, columns around it; 0 where nothing was seen
  Eigen::MatrixXd count;

  /// Bilinear between the cells' middles.
  double at(const Eigen::MatrixXd& values, double x_m, double theta_rad) const {
    const Eigen::Index rows = values.rows();
    const Eigen::Index columns = values.cols();
    const double u = std::clamp((x_m - begin_m) / step_m - 0.5, 0.0, static_cast<double>(rows - 1));
    const double v = theta_rad / (2 * pi) * static_cast<double>(columns) - 0.5 + static_cast<double>(columns);
    const Eigen::Index i = std::min(static_cast<Eigen::Index>(u), rows - 2);
    const auto k = static_cast<Eigen::Index>(v);
    const double fu = u - static_cast<double>(i);
    const double fv = v - static_cast<double>(k);
    const auto value = [&](Eigen::Index di, Eigen::Index dk) { return values(i + di, (k + dk) % columns); };
    return (1 - fu) * ((1 - fv) * value(0, 0) + fv * value(0, 1)) +
           fu * ((1 - fv) * value(1, 0) + fv * value(1, 1));
  }
};

/// Points a square metre of the surface that a walk round the log shows.
double point_density_m2(const FittedLog& fitted, std::size_t points) {
  const double span_m = fitted.usable.end_m - fitted.usable.begin_m;
  const double girth_m = 2 * pi * fitted.surface.mean_radius_m(fitted.usable.begin_m);
  return std::max(1.0, static_cast<double>(points)) / (kUsuallySeen * girth_m * span_m);
}

HeightGrid height_grid(const FittedLog& fitted, const std::vector<SurfacePoint>& heights) {
  const double span_m = fitted.usable.end_m - fitted.usable.begin_m;
  const double girth_m = 2 * pi * fitted.surface.mean_radius_m(fitted.usable.begin_m);
  const double points_a_m2 = point_density_m2(fitted, heights.size());
  const double cell_m = std::max(kLeastCell_m, std::sqrt(kPointsACell / points_a_m2));
  const int columns = std::max(12, static_cast<int>(std::lround(girth_m / cell_m)));
  const CellGrid cells =
      gather(heights, fitted.usable.begin_m, fitted.usable.end_m, std::min(cell_m, span_m / 2), columns);
  HeightGrid grid{cells.begin_m, cells.step_m, Eigen::MatrixXd::Zero(cells.nx, columns),
                  Eigen::MatrixXd::Zero(cells.nx, columns)};
  for (const Cell& cell : cells.cells) {
    grid.count(cell.ix, cell.itheta) = cell.count;
    if (cell.count >= kLeastPointsACell) {
      grid.height_m(cell.ix, cell.itheta) = cell.radius_m;
    }
  }
  return grid;
}

BumpMap map_bumps(const FittedLog& fitted, const std::vector<SurfacePoint>& points, int stations,
                  int angles) {
  const HeightGrid grid = height_grid(fitted, over_surface(fitted, points));
  const Eigen::MatrixXd occupied = (grid.count.array() >= kLeastPointsACell).cast<double>();
  BumpMap map;
  for (int i = 0; i < stations; ++i) {
    const double x_m =
        fitted.usable.begin_m + (fitted.usable.end_m - fitted.usable.begin_m) * i / (stations - 1);
    Eigen::VectorXd row(angles);
    std::vector<char> seen;
    for (int k = 0; k < angles; ++k) {
      const double theta = 2 * pi * k / angles;
      row[k] = grid.at(grid.height_m, x_m, theta);
      seen.push_back(grid.at(occupied, x_m, theta) >= kSeenShareOfCells ? 1 : 0);
    }
    map.bump_m.push_back(row);
    map.seen.push_back(seen);
  }
  return map;
}

BarkEstimate bark_here(const FitOptions& options, const std::optional<BarkEstimate>& measured,
                       const std::optional<Species>& species, double diameter_m) {
  if (options.bark_m) {
    return {
        *options.bark_m, options.given_bark_spread * *options.bark_m, {BarkSource::Kind::given, 0, {}, {}}};
  }
  return measured ? *measured : bark_thickness(species ? &*species : nullptr, diameter_m);
}

/// How far the scan has bent the centreline, 1 sigma across it in one direction, at the share u of the
/// length. No scatter of points shows it. Phone depth sensors walk off by 10 to 20 mm over a log (a judgement
/// from papers on phone scans, no published figure); taken as a random walk in three directions, of which the
/// straight line from end to end does no harm, so that a bridge is left with the variance D^2 / 3 u (1 - u).
/// Scans from photographs scatter little, which tells them from the others.
double bend_sigma_m(const SmoothSurface& surface, double u) {
  const double coarse =
      std::clamp((surface.cell_sigma_m - kFineScan_m) / (kCoarseScan_m - kFineScan_m), 0.0, 1.0);
  return coarse * kDrift_m * std::sqrt(std::max(0.0, u * (1 - u)) / 3);
}

/// What bark stands out and goes in, 1 sigma: the scatter of the cells where the scan is fine; what a coarse
/// scan scatters more is its own noise.
double bark_texture_m(const SmoothSurface& surface) {
  return std::min(surface.cell_sigma_m, kFineScan_m);
}

Station make_station(const FittedLog& fitted, double x_m, const Eigen::VectorXd& bump_m,
                     const BarkEstimate& bark, const std::vector<char>& seen, const FitOptions& options) {
  const SmoothSurface& surface = fitted.surface;
  const Eigen::Index angles = bump_m.size();
  const Terms section = surface.basis.section(surface.coefficients, x_m);
  const auto covariance = surface.basis.section_covariance(surface.covariance, x_m);
  const double texture_m = surface.cell_sigma_m;
  const double u = (x_m - fitted.usable.begin_m) / (fitted.usable.end_m - fitted.usable.begin_m);
  const double bend_m = bend_sigma_m(surface, u);
  Station station;
  station.x_m = x_m;
  station.seen = seen;
  station.centre_m = fitted.centreline.at(x_m);
  station.bark_radius_m.resize(angles);
  station.wood_radius_m.resize(angles);
  station.bark_sigma_m.resize(angles);
  station.wood_sigma_m.resize(angles);
  for (Eigen::Index k = 0; k < angles; ++k) {
    const Terms terms = fourier_terms(2 * pi * static_cast<double>(k) / static_cast<double>(angles));
    const double smooth_m = section.dot(terms);
    const double scale_m = options.scale_sigma * smooth_m;
    const double variance =
        terms.dot(covariance * terms) + kShapeFloor_m * kShapeFloor_m + bend_m * bend_m + scale_m * scale_m;
    const double b = bump_m[k];
    // Large bumps are kept whole, small ones are as likely noise and shrink towards the smooth surface.
    const double doubtful_m = kDoubtfulBump * texture_m;
    const double kept_m = b * b * b / (b * b + doubtful_m * doubtful_m);
    const double dent_m = std::min(0.0, b + std::max(kDentSigmas * texture_m, kLeastDent_m));
    station.bark_radius_m[k] = smooth_m + kept_m;
    station.wood_radius_m[k] =
        std::clamp(smooth_m + dent_m - bark.thickness_m, kLeastWoodShare * station.bark_radius_m[k],
                   station.bark_radius_m[k]);
    station.bark_sigma_m[k] = std::hypot(std::sqrt(variance), bark_texture_m(surface));
    station.wood_sigma_m[k] = std::sqrt(variance + bark.sigma_m * bark.sigma_m);
  }
  return station;
}

/// The innermost x of a sawn end over the outline of the log.
double innermost_m(const SmoothSurface& surface, const Centreline& centreline, const EndPlane& end,
                   double inwards) {
  constexpr int kSamples = 72;
  double innermost = end.point_m.x();
  for (int k = 0; k < kSamples; ++k) {
    const double theta = 2 * pi * k / kSamples;
    double x = end.point_m.x();
    for (int round = 0; round < 3; ++round) {  // the outline hardly changes over the end's slant
      const double radius_m = surface.radius_m(x, theta);
      const Eigen::Vector2d p =
          centreline.at(x) + radius_m * Eigen::Vector2d(std::cos(theta), std::sin(theta));
      x = end.point_m.x() - end.normal.tail<2>().dot(p - end.point_m.tail<2>()) / end.normal.x();
    }
    innermost = inwards > 0 ? std::max(innermost, x) : std::min(innermost, x);
  }
  return innermost;
}

/// Moves the model so that its first station is the origin and the chord of the centreline is x. The turn is
/// far below a milliradian (the frame came from the round before), so that sections stay as they are.
void settle_frame(LogModel& log) {
  const double begin_m = log.stations.front().x_m;
  const double span_m = log.stations.back().x_m - begin_m;
  const Eigen::Vector2d start = log.stations.front().centre_m;
  const Eigen::Vector2d slope = (log.stations.back().centre_m - start) / span_m;
  const auto moved = [&](const Eigen::Vector3d& p) {
    const Eigen::Vector2d across = p.tail<2>() - start - slope * (p.x() - begin_m);
    return Eigen::Vector3d(p.x() - begin_m, across.x(), across.y());
  };
  const Eigen::Vector3d small_in_scan = log.frame.to_scan({begin_m, start.x(), start.y()});
  const Eigen::Vector3d large_in_scan = log.frame.to_scan(
      {begin_m + span_m, log.stations.back().centre_m.x(), log.stations.back().centre_m.y()});
  for (Station& s : log.stations) {
    s.centre_m -= start + slope * (s.x_m - begin_m);
    s.x_m -= begin_m;
  }
  log.small_end.point_m = moved(log.small_end.point_m);
  log.large_end.point_m = moved(log.large_end.point_m);
  for (Knot& knot : log.knots) {
    knot.x_m -= begin_m;
  }
  log.frame = frame_between(small_in_scan, large_in_scan);
}

}  // namespace

UsableRange usable_range(const SmoothSurface& surface, const Centreline& centreline,
                         const EndPlane& small_end, const EndPlane& large_end) {
  return {innermost_m(surface, centreline, small_end, 1), innermost_m(surface, centreline, large_end, -1)};
}

/// Wide knots from the map of heights, slender stubs from the points themselves.
std::vector<Knot> find_all_knots(const FittedLog& fitted, const std::vector<Station>& stations,
                                 const BumpMap& map, const std::vector<SurfacePoint>& all_points) {
  std::vector<Knot> knots = find_knots(stations, map.bump_m, fitted.surface.cell_sigma_m);
  std::vector<SurfacePoint> side = over_surface(fitted, all_points, kLowestKnot);
  std::erase_if(side, [&](const SurfacePoint& p) {
    return std::sin(p.theta_rad) <= kLowestKnot || p.x_m < fitted.usable.begin_m ||
           p.x_m > fitted.usable.end_m;
  });
  const Station& middle = stations[stations.size() / 2];
  add_stubs(side, middle.bark_radius_m.mean(), fitted.surface.cell_sigma_m,
            point_density_m2(fitted, all_points.size()), knots);
  add_broad_knots(side, middle.bark_radius_m.mean(), fitted.surface.cell_sigma_m, knots);
  return knots;
}

LogModel assemble(const FittedLog& fitted, const std::vector<SurfacePoint>& bark_points,
                  const std::vector<SurfacePoint>& all_points,
                  const std::optional<BarkEstimate>& measured_bark, const FitOptions& options) {
  LogModel log;
  const double span_m = fitted.usable.end_m - fitted.usable.begin_m;
  const int stations = 1 + std::max(1, static_cast<int>(std::lround(span_m / options.station_spacing_m)));
  const BumpMap map = map_bumps(fitted, bark_points, stations, options.angles);
  const std::optional<Species> species =
      options.species.empty() ? std::nullopt : find_species(options.species);
  for (int i = 0; i < stations; ++i) {
    const double x_m =
        i + 1 == stations ? fitted.usable.end_m : fitted.usable.begin_m + span_m * i / (stations - 1);
    const double diameter_m = 2 * fitted.surface.mean_radius_m(x_m);
    const BarkEstimate bark = bark_here(options, measured_bark, species, diameter_m);
    const auto row = static_cast<std::size_t>(i);
    log.stations.push_back(make_station(fitted, x_m, map.bump_m[row], bark, map.seen[row], options));
    for (Eigen::Index k = 0; k < options.angles; ++k) {
      if (map.seen[row][static_cast<std::size_t>(k)] == 1) {
        double& sigma = log.stations.back().bark_sigma_m[k];
        const double texture_m = bark_texture_m(fitted.surface);
        sigma =
            std::sqrt(std::max(0.0, sigma * sigma - texture_m * texture_m * (1 - kSeenShare * kSeenShare)));
      }
    }
    log.bark_m += bark.thickness_m / stations;
    log.bark_sigma_m += bark.sigma_m / stations;
    log.bark_source = bark.source;
  }
  log.frame = fitted.frame;
  log.small_end = fitted.small_end;
  log.large_end = fitted.large_end;
  log.knots = find_all_knots(fitted, log.stations, map, all_points);
  log.residual_m = fitted.surface.cell_sigma_m;
  const DensityEstimate density = green_density(species ? &*species : nullptr);
  log.density_kg_m3 = density.density_kg_m3;
  log.density_source = density.source;
  settle_frame(log);
  log.length_m = log.large_end.point_m.x() - log.small_end.point_m.x();
  log.pith.small_end_m = log.stations.front().centre_m;
  log.pith.large_end_m = log.stations.back().centre_m;
  return log;
}

}  // namespace flitchwise::scan
