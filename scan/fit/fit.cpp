#include "scan/fit/fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/fit/assemble.hpp"
#include "scan/fit/bark_edge.hpp"
#include "scan/fit/cells.hpp"
#include "scan/fit/rims.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/robust.hpp"
#include "scan/model/species.hpp"
#include "scan/model/units.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr int kRounds = 4;  // of fit and recentring; the third moves the centreline by less than 0.1 mm
constexpr double kKnotSpacing_m =
    0.12;  // of the splines along the log: a butt flare dies away over some 300 mm
constexpr double kCell_m = 0.025;
constexpr int kCellAngles = 90;
constexpr std::size_t kLeastPoints = 2000;
constexpr double kGateSigmas = 6;  // around the surface of the round before
constexpr double kLeastGate_m = 0.015;
constexpr double kFirstGate = 0.3;                     // of the track's radius
constexpr double kOverhang_m = 0.02;                   // of the surface beyond the ends
constexpr double kMostUnseen_rad = 195 * kRadADegree;  // a wider gap leaves the far side to guesswork

void check(const FitOptions& o) {
  check_limits(o);
  require(o.species.empty() || find_species(o.species).has_value(),
          "the species '" + o.species + "' is not in the table; name another one or give the bark thickness");
}

EndPlane in_log(const EndPlane& in_scan, const LogFrame& frame) {
  return {frame.to_log(in_scan.point_m), frame.scan_from_log.transpose() * in_scan.normal, in_scan.seen};
}

/// The track as a curve from end plane to end plane, the smaller end first.
struct Course {
  std::vector<Eigen::Vector3d> curve_m;  // scan frame
  EndPlane small_end;                    // scan frame
  EndPlane large_end;
  void flip() {
    std::reverse(curve_m.begin(), curve_m.end());
    std::swap(small_end, large_end);
  }
};

Course course_of(const LogCloud& log_cloud) {
  Course course{{log_cloud.first_end.point_m}, log_cloud.first_end, log_cloud.last_end};
  const Eigen::Vector3d along = (log_cloud.last_end.point_m - log_cloud.first_end.point_m).normalized();
  for (const TrackPoint& t : log_cloud.track) {
    const bool between = along.dot(t.centre_m - log_cloud.first_end.point_m) > kOverhang_m &&
                         along.dot(log_cloud.last_end.point_m - t.centre_m) > kOverhang_m;
    if (between) {
      course.curve_m.push_back(t.centre_m);
    }
  }
  course.curve_m.push_back(log_cloud.last_end.point_m);
  return course;
}

/// Points near the surface of the round before (any near the usual radius in the first round).
std::vector<SurfacePoint> gated(const std::vector<SurfacePoint>& points,
                                const std::optional<SmoothSurface>& before) {
  std::vector<SurfacePoint> kept;
  if (!before) {
    std::vector<double> radii;
    for (const SurfacePoint& p : points) {
      radii.push_back(p.radius_m);
    }
    const double usual_m = median(std::move(radii));
    std::copy_if(points.begin(), points.end(), std::back_inserter(kept), [&](const SurfacePoint& p) {
      return std::abs(p.radius_m - usual_m) < kFirstGate * usual_m;
    });
    return kept;
  }
  const double gate_m =
      std::max(kLeastGate_m, kGateSigmas * std::hypot(before->cell_sigma_m, before->point_sigma_m));
  for (const SurfacePoint& p : points) {
    const double smooth_m = before->radius_m(p.x_m, p.theta_rad);
    if (std::abs(p.radius_m - smooth_m) < gate_m) {
      kept.push_back(p);
    }
  }
  return kept;
}

/// The centreline moved to the middle of the fitted sections: for an outline near a circle the first harmonic
/// of its radius is the place of its middle.
std::vector<Eigen::Vector3d> recentred(const FittedLog& fitted) {
  std::vector<Eigen::Vector3d> curve;
  const double begin_m = fitted.surface.basis.begin_m();
  const double end_m = fitted.surface.basis.end_m();
  const int steps = std::max(2, static_cast<int>(std::lround((end_m - begin_m) / kCell_m)));
  for (int i = 0; i <= steps; ++i) {
    const double x = begin_m + (end_m - begin_m) * i / steps;
    const Terms section = fitted.surface.basis.section(fitted.surface.coefficients, x);
    const Eigen::Vector2d centre = fitted.centreline.at(x) + Eigen::Vector2d(section[1], section[2]);
    curve.push_back(fitted.frame.to_scan({x, centre.x(), centre.y()}));
  }
  return curve;
}

LogFrame frame_of(const Course& course, const std::optional<FittedLog>& before) {
  if (!before) {
    return frame_between(course.curve_m.front(), course.curve_m.back());
  }
  const Centreline middle = centreline_in(before->frame, course.curve_m);
  const auto at = [&](double x) {
    const Eigen::Vector2d c = middle.at(x);
    return before->frame.to_scan({x, c.x(), c.y()});
  };
  return frame_between(at(before->usable.begin_m), at(before->usable.end_m));
}

/// One round: points around the centreline of the round before, smooth surface through them.
FittedLog fit_round(const LogCloud& log_cloud, const Course& course, const std::optional<FittedLog>& before) {
  const LogFrame frame = frame_of(course, before);
  const Centreline rough = centreline_in(frame, course.curve_m);
  const EndPlane small_end = in_log(course.small_end, frame);
  const EndPlane large_end = in_log(course.large_end, frame);
  const double begin_m = rough.begin_m() - (before ? 0 : kOverhang_m);
  const double end_m = rough.end_m() + (before ? 0 : kOverhang_m);
  const SurfaceBasis basis(begin_m, end_m, kKnotSpacing_m);
  const Eigen::MatrixX2d spline_m = spline_through(rough, basis);
  Centreline centreline = centreline_of(spline_m, basis);
  // A surface from a frame that differs by less than its gate is good enough to gate with.
  const std::vector<SurfacePoint> points =
      gated(unroll(log_cloud, frame, centreline), before ? std::optional(before->surface) : std::nullopt);
  const CellGrid grid = gather(points, begin_m, end_m, kCell_m, kCellAngles);
  const std::vector<RimRadius> rims =
      before ? rim_radii(log_cloud, frame, centreline, *before) : std::vector<RimRadius>{};
  const Beneath beneath = log_cloud.on_ground ? Beneath::ground : Beneath::nothing;
  SmoothSurface surface = fit_surface(grid.cells, basis, grid.nx, grid.ntheta, spline_m, rims, beneath);
  const UsableRange usable = usable_range(surface, centreline, small_end, large_end);
  return {frame, std::move(centreline), std::move(surface), small_end, large_end, usable};
}

double widest_unseen_rad(const std::vector<char>& seen) {
  const auto n = seen.size();
  std::size_t run = 0;
  std::size_t widest = 0;
  for (std::size_t k = 0; k < 2 * n; ++k) {  // twice round, as a gap may lie across zero
    run = seen[k % n] == 0 ? run + 1 : 0;
    widest = std::max(widest, std::min(run, n));
  }
  return 2 * pi * static_cast<double>(widest) / static_cast<double>(n);
}

/// Refuses a log of which the far side was nowhere seen; names the stretches where that is so.
void judge_coverage(FitResult& result) {
  std::vector<double> gaps;
  for (const Station& s : result.log.stations) {
    gaps.push_back(widest_unseen_rad(s.seen));
  }
  if (median(gaps) > kMostUnseen_rad) {
    result.status = FitResult::Status::one_side_only;
    result.message = HalfUnseen{};
    return;
  }
  result.status = FitResult::Status::ok;
  constexpr double kWorthSaying_m = 0.3;
  for (std::size_t i = 0; i < gaps.size(); ++i) {
    std::size_t end = i;
    while (end < gaps.size() && gaps[end] > kMostUnseen_rad) {
      ++end;
    }
    if (end > i && result.log.stations[end - 1].x_m - result.log.stations[i].x_m > kWorthSaying_m) {
      result.warnings.emplace_back(
          UnseenStretch{result.log.stations[i].x_m, result.log.stations[end - 1].x_m});
    }
    i = std::max(i, end);
  }
}

/// Warns where the ends show another bark than the person or the species says.
void compare_barks(const std::optional<BarkEstimate>& measured, const FitOptions& options,
                   FitResult& result) {
  constexpr double kStrongSigmas = 2;
  constexpr double kWorthSaying_m = 0.005;  // less changes no plan by a board
  const std::optional<Species> species =
      options.species.empty() ? std::nullopt : find_species(options.species);
  if (!measured || (!options.bark_m && !species)) {
    return;
  }
  BarkEstimate other;
  if (options.bark_m) {
    other = {*options.bark_m, options.given_bark_spread * *options.bark_m, {}};
  } else {
    other = bark_thickness(&*species, result.log.small_end_diameter_m());
  }
  const double off_m = std::abs(measured->thickness_m - other.thickness_m);
  if (off_m < kWorthSaying_m || off_m < kStrongSigmas * std::hypot(measured->sigma_m, other.sigma_m)) {
    return;
  }
  result.warnings.emplace_back(
      BarkDiffers{measured->thickness_m, other.thickness_m, options.bark_m.has_value()});
}

}  // namespace

FitResult fit(const LogCloud& log_cloud, const FitOptions& options) {
  check(options);
  FitResult result;
  if (log_cloud.surface_m.size() < kLeastPoints) {
    result.message = TooFewPoints{log_cloud.surface_m.size(), kLeastPoints};
    return result;
  }
  Course course = course_of(log_cloud);
  std::optional<FittedLog> fitted;
  for (int round = 0; round < kRounds; ++round) {
    fitted = fit_round(log_cloud, course, fitted);
    course.curve_m = recentred(*fitted);
    const double small_m = fitted->surface.mean_radius_m(fitted->usable.begin_m);
    const double large_m = fitted->surface.mean_radius_m(fitted->usable.end_m);
    if (round == 0 && small_m > large_m) {
      course.flip();
      fitted.reset();
    } else if (!(std::min(small_m, large_m) > 0)) {
      result.message = NoRoundSurface{};
      return result;
    }
    // Isolating the log can judge this by rough circles only.
    if (2 * std::max(small_m, large_m) < IsolateOptions{}.least_diameter_m) {
      result.message = TooThin{2 * std::max(small_m, large_m)};
      return result;
    }
  }
  const std::optional<BarkEstimate> measured_bark = measure_bark(log_cloud, *fitted);
  result.log =
      assemble(*fitted, unroll(log_cloud, fitted->frame, fitted->centreline),
               unroll(log_cloud, fitted->frame, fitted->centreline, Points::all), measured_bark, options);
  compare_barks(measured_bark, options, result);
  judge_coverage(result);
  return result;
}

}  // namespace flitchwise::scan
