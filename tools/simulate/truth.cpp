#include "tools/simulate/truth.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "scan/model/errors.hpp"
#include "tools/simulate/angles.hpp"
#include "tools/simulate/visibility.hpp"

namespace flitchwise::simulate {

namespace {

constexpr double kExact_m = 1e-9;     // where a root counts as found
constexpr int kCentroidAngles = 120;  // the centroid of a smooth outline converges long before
constexpr int kEndAngles = 720;       // outline points on an end cut, for the innermost full section
constexpr double kFirstReach_m = 3;   // bracket for a radius: above any log's

using Radius = double (LogSurface::*)(double x_m, double theta) const;  // in the shape frame

// Distance from `start` (inside the section) along `direction` to the surface, all in the shape frame. The
// surface is star-shaped around its own line, and `start` is near that line, so walking by the radial
// height left converges fast; on the walls of stubs it may not, and halving takes over.
double cast_m(const LogSurface& surface, Radius radius, const Eigen::Vector3d& start,
              const Eigen::Vector3d& direction) {
  const auto inside_by = [&](double t) {
    const Eigen::Vector3d point = start + t * direction;
    const LogSurface::Polar polar = surface.polar(point);
    return (surface.*radius)(point.x(), polar.theta) - polar.radius_m;
  };
  double t = 0;
  for (int i = 0; i < 12; ++i) {
    const double step = inside_by(t);
    t += step;
    if (std::abs(step) < kExact_m) {
      return t;
    }
  }
  double low = 0;
  double high = kFirstReach_m;
  while (high - low > kExact_m) {
    const double middle = (low + high) / 2;
    (inside_by(middle) > 0 ? low : high) = middle;
  }
  return low;
}

double radius_at(const Truth& truth, Radius radius, double x_m, const Eigen::Vector2d& centre_m,
                 double theta) {
  const Eigen::Vector3d start = truth.log.to_shape(truth.to_scan({x_m, centre_m.x(), centre_m.y()}));
  const Eigen::Vector3d direction = truth.log.scan_from_shape.transpose() * truth.scan_from_log *
                                    Eigen::Vector3d(0, std::cos(theta), std::sin(theta));
  return cast_m(truth.log.surface, radius, start, direction);
}

// A point inside the section at x: where the generator's line passes, found by walking to its shape-frame x.
Eigen::Vector2d inside_at(const Truth& truth, double x_m) {
  Eigen::Vector2d inside = Eigen::Vector2d::Zero();
  for (int i = 0; i < 4; ++i) {
    const Eigen::Vector3d point = truth.log.to_shape(truth.to_scan({x_m, inside.x(), inside.y()}));
    const Eigen::Vector2d line = truth.log.surface.centre_m(point.x());
    inside = truth.to_log(truth.log.to_scan({point.x(), line.x(), line.y()})).tail<2>();
  }
  return inside;
}

void set_frame(Truth& truth, const Eigen::Vector3d& small_end, const Eigen::Vector3d& large_end) {
  const Eigen::Vector3d x = (large_end - small_end).normalized();
  const Eigen::Vector3d z = (Eigen::Vector3d::UnitZ() - x.z() * x).normalized();
  truth.origin_in_scan_m = small_end;
  truth.scan_from_log << x, z.cross(x), z;
}

// The end cut in the log frame, with its point where the centreline meets it.
TruthEnd end_in_log(const Truth& truth, const EndCut& cut) {
  TruthEnd end;
  end.normal = truth.scan_from_log.transpose() * truth.log.scan_from_shape * cut.normal;
  const Eigen::Vector3d on_cut = truth.to_log(truth.log.to_scan(cut.point_m));
  double x = on_cut.x();
  for (int i = 0; i < 8; ++i) {
    const Eigen::Vector2d centre = truth.centre_at(x);
    end.point_m = {x, centre.x(), centre.y()};
    x -= end.normal.dot(end.point_m - on_cut) / end.normal.x();
  }
  return end;
}

// Frame and ends hang on each other: the chord joins the ends, and the sections that give the ends lie
// across the chord. A few rounds settle it far below a micrometre.
void settle_frame(Truth& truth) {
  const LogSurface& surface = truth.log.surface;
  set_frame(truth, truth.log.to_scan(surface.small_end().point_m),
            truth.log.to_scan(surface.large_end().point_m));
  for (int round = 0; round < 4; ++round) {
    const Eigen::Vector3d a = truth.to_scan(end_in_log(truth, surface.small_end()).point_m);
    const Eigen::Vector3d b = truth.to_scan(end_in_log(truth, surface.large_end()).point_m);
    set_frame(truth, a, b);
  }
}

// x of the innermost point of the bark's outline on an end cut; `inward` is +1 at the small end.
double innermost_x(const Truth& truth, const TruthEnd& end, double inward) {
  double innermost = inward > 0 ? -1e9 : 1e9;
  for (int k = 0; k < kEndAngles; ++k) {
    const double theta = kTwoPi * k / kEndAngles;
    double x = end.point_m.x();
    for (int i = 0; i < 8; ++i) {
      const Eigen::Vector2d middle = end.point_m.tail<2>();
      const double radius = truth.bark_radius_at(x, middle, theta);
      const Eigen::Vector2d off = radius * direction_at(theta);
      x = end.point_m.x() - end.normal.tail<2>().dot(off) / end.normal.x();
    }
    innermost = inward > 0 ? std::max(innermost, x) : std::min(innermost, x);
  }
  return innermost;
}

TruthStation station_at(const Truth& truth, double x_m, const TruthOptions& options, const Scanner& scanner,
                        const Visibility* visibility) {
  TruthStation station;
  station.x_m = x_m;
  station.centre_m = truth.centre_at(x_m);
  const LogSurface& surface = truth.log.surface;
  const double most_x = scanner.keep_part < 1 ? scanner.keep_part * surface.shape().length_m : 1e9;
  for (int k = 0; k < options.angles; ++k) {
    const double theta = kTwoPi * k / options.angles;
    const double bark = truth.bark_radius_at(x_m, station.centre_m, theta);
    station.bark_radius_m.push_back(bark);
    station.wood_radius_m.push_back(truth.wood_radius_at(x_m, station.centre_m, theta));
    bool seen = true;
    if (visibility != nullptr) {
      const Eigen::Vector2d off = station.centre_m + bark * direction_at(theta);
      const Eigen::Vector3d point = truth.to_scan({x_m, off.x(), off.y()});
      const Eigen::Vector3d in_shape = truth.log.to_shape(point);
      const Eigen::Vector3d normal =
          truth.log.scan_from_shape * surface.normal(in_shape.x(), surface.polar(in_shape).theta);
      seen = in_shape.x() <= most_x && visibility->sees_log(point, normal);
    }
    station.seen.push_back(seen ? 1 : 0);
  }
  return station;
}

// Bumps are given in the shape frame: the same feet in the log frame.
std::vector<Bump> bumps_in_log(const Truth& truth) {
  const LogSurface& surface = truth.log.surface;
  std::vector<Bump> bumps = surface.shape().bumps;
  for (Bump& bump : bumps) {
    const double radius = surface.clear_wood_radius_m(bump.x_m, bump.theta_rad);
    const Eigen::Vector3d foot =
        truth.to_log(truth.log.to_scan(surface.point_m(bump.x_m, bump.theta_rad, radius)));
    const Eigen::Vector2d off = foot.tail<2>() - truth.centre_at(foot.x());
    bump.x_m = foot.x();
    bump.theta_rad = std::atan2(off.y(), off.x());
  }
  return bumps;
}

Eigen::Vector2d pith_in_log(const Truth& truth, const EndCut& cut) {
  // On the cut: the pith's line is nearly along x, so two rounds place it.
  double x = cut.point_m.x();
  Eigen::Vector3d point = Eigen::Vector3d::Zero();
  for (int i = 0; i < 4; ++i) {
    const Eigen::Vector2d pith = truth.log.surface.pith_m(x);
    point = {x, pith.x(), pith.y()};
    x -= cut.beyond_m(point) / cut.normal.x();
  }
  return truth.to_log(truth.log.to_scan(point)).tail<2>();
}

double mean_bark_m(const std::vector<TruthStation>& stations) {
  double sum = 0;
  std::size_t count = 0;
  for (const TruthStation& station : stations) {
    for (std::size_t k = 0; k < station.bark_radius_m.size(); ++k) {
      sum += station.bark_radius_m[k] - station.wood_radius_m[k];
      ++count;
    }
  }
  return sum / static_cast<double>(count);
}

}  // namespace

Eigen::Vector3d Truth::to_scan(const Eigen::Vector3d& in_log_m) const {
  return origin_in_scan_m + scan_from_log * in_log_m;
}

Eigen::Vector3d Truth::to_log(const Eigen::Vector3d& in_scan_m) const {
  return scan_from_log.transpose() * (in_scan_m - origin_in_scan_m);
}

Eigen::Vector2d Truth::centre_at(double x_m) const {
  const Eigen::Vector2d inside = inside_at(*this, x_m);
  // Area and first moments of the sectors between neighbouring rays, as triangles.
  Eigen::Vector2d moment = Eigen::Vector2d::Zero();
  double area = 0;
  const auto corner = [&](int k) -> Eigen::Vector2d {
    const double theta = kTwoPi * k / kCentroidAngles;
    return radius_at(*this, &LogSurface::clear_wood_radius_m, x_m, inside, theta) * direction_at(theta);
  };
  const Eigen::Vector2d first = corner(0);
  Eigen::Vector2d a = first;
  for (int k = 1; k <= kCentroidAngles; ++k) {
    const Eigen::Vector2d b = k == kCentroidAngles ? first : corner(k);
    const double doubled = a.x() * b.y() - a.y() * b.x();
    area += doubled / 2;
    moment += doubled / 6 * (a + b);
    a = b;
  }
  return inside + moment / area;
}

double Truth::bark_radius_at(double x_m, const Eigen::Vector2d& centre_m, double theta) const {
  return radius_at(*this, &LogSurface::bark_radius_m, x_m, centre_m, theta);
}

double Truth::wood_radius_at(double x_m, const Eigen::Vector2d& centre_m, double theta) const {
  return radius_at(*this, &LogSurface::wood_radius_m, x_m, centre_m, theta);
}

double Truth::sweep_m() const {
  const TruthStation& a = stations.front();
  const TruthStation& b = stations.back();
  double largest = 0;
  for (const TruthStation& station : stations) {
    const double share = (station.x_m - a.x_m) / (b.x_m - a.x_m);
    largest = std::max(largest, (station.centre_m - (1 - share) * a.centre_m - share * b.centre_m).norm());
  }
  return largest;
}

double Truth::bark_diameter_m(std::size_t station) const {
  double sum = 0;
  for (const double radius : stations.at(station).bark_radius_m) {
    sum += radius;
  }
  return 2 * sum / static_cast<double>(stations.at(station).bark_radius_m.size());
}

double Truth::seen_share() const {
  double seen = 0;
  double all = 0;
  for (const TruthStation& station : stations) {
    seen += static_cast<double>(std::count(station.seen.begin(), station.seen.end(), 1));
    all += static_cast<double>(station.seen.size());
  }
  return seen / all;
}

Truth make_truth(const Site& site, const Scanner& scanner, std::uint64_t seed, const TruthOptions& options) {
  check(scanner);
  require(options.station_spacing_m >= 0.001 && options.station_spacing_m <= 1,
          "truth: station_spacing_m must lie between 0.001 and 1");
  require(options.angles >= 8 && options.angles <= 3600, "truth: angles must lie between 8 and 3600");
  Truth truth{.seed = seed, .log = site.log};
  settle_frame(truth);
  const EndCut& small_cut = site.log.surface.small_end();
  const EndCut& large_cut = site.log.surface.large_end();
  const double start = innermost_x(truth, end_in_log(truth, small_cut), 1);
  truth.origin_in_scan_m = truth.to_scan({start, 0, 0});
  truth.small_end = end_in_log(truth, small_cut);
  truth.large_end = end_in_log(truth, large_cut);
  truth.length_m = truth.large_end.point_m.x() - truth.small_end.point_m.x();
  truth.usable_length_m = innermost_x(truth, truth.large_end, -1);
  require(truth.usable_length_m > options.station_spacing_m,
          "simulated log: its end cuts leave no full section; make it longer or its ends squarer");
  const Visibility visibility(site, scanner, seed);
  const Visibility* asked = options.ask_cameras ? &visibility : nullptr;
  const int count = static_cast<int>(std::ceil(truth.usable_length_m / options.station_spacing_m - 1e-6));
  for (int i = 0; i <= count; ++i) {
    const double x = std::min(i * options.station_spacing_m, truth.usable_length_m);
    truth.stations.push_back(station_at(truth, x, options, scanner, asked));
  }
  truth.pith_small_end_m = pith_in_log(truth, small_cut);
  truth.pith_large_end_m = pith_in_log(truth, large_cut);
  truth.bumps = bumps_in_log(truth);
  truth.bark_m = mean_bark_m(truth.stations);
  return truth;
}

}  // namespace flitchwise::simulate
