#include "solver/setup/bench.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "scan/model/between.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/volume.hpp"

namespace flitchwise::solver {
namespace {

using Polygon = std::vector<Eigen::Vector2d>;

/// Largest part across of a cut plane's normal that counts as rounding.
constexpr double kLevelTolerance = 1e-6;
/// An end plane further than this from the last station is not believed.
constexpr double kMostEndOverhang_m = 0.5;
/// An end plane may slant this much (cosine of 60 degrees) and still be a saw cut across.
constexpr double kLeastEndCosine = 0.5;
/// The plan is made for wood two sigma further in; what lies over the cuts is set for bark as far out.
constexpr double kSigmas = 2;

/// Calls visit(point, nearest corner) for every crossing of the outline with the line where coordinate
/// `axis` (0: y, 1: z) has this value.
template <class Visit>
void for_each_crossing(const BenchSection& section, int axis, double value, const Visit& visit) {
  const Eigen::Index n = section.bark_m.rows();
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index j = (i + 1) % n;
    const double a = section.bark_m(i, axis);
    const double b = section.bark_m(j, axis);
    if ((a <= value) == (b <= value)) {
      continue;
    }
    const double u = (value - a) / (b - a);
    const Eigen::Vector2d point = (1 - u) * section.bark_m.row(i) + u * section.bark_m.row(j);
    visit(point, u < 0.5 ? i : j);
  }
}

std::optional<BarkPoint> extreme_at(const BenchSection& section, double y_m, double sign) {
  std::optional<BarkPoint> best;
  for_each_crossing(section, 0, y_m, [&](const Eigen::Vector2d& point, Eigen::Index corner) {
    if (!best || sign * point.y() > sign * best->z_m) {
      best = BarkPoint{y_m, point.y(), section.seen[static_cast<std::size_t>(corner)] != 0};
    }
  });
  return best;
}

/// Keeps the part of the polygon with normal . p <= offset (Sutherland and Hodgman; exact in area for any
/// simple polygon).
Polygon clip(const Polygon& polygon, const Eigen::Vector2d& normal, double offset) {
  Polygon kept;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d& b = polygon[(i + 1) % polygon.size()];
    const double da = normal.dot(a) - offset;
    const double db = normal.dot(b) - offset;
    if (da <= 0) {
      kept.push_back(a);
    }
    if ((da <= 0) != (db <= 0)) {
      kept.emplace_back(a + da / (da - db) * (b - a));
    }
  }
  return kept;
}

double area_m2(const Polygon& polygon) {
  double twice = 0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d& b = polygon[(i + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return std::abs(twice) / 2;
}

double clipped_area_m2(const BenchSection& section, const std::vector<HalfSpace>& spaces) {
  Polygon polygon;
  for (Eigen::Index i = 0; i < section.bark_m.rows(); ++i) {
    polygon.emplace_back(section.bark_m.row(i));
  }
  for (const HalfSpace& space : spaces) {
    polygon = clip(polygon, space.normal.tail<2>(), space.offset - space.normal.x() * section.x_m);
  }
  return area_m2(polygon);
}

/// Linear between the sections, the end sections outside. Corner k of all sections lies at the same angle, so
/// that this is the section with blended radii and centre.
BenchSection blended_at(const std::vector<BenchSection>& sections, double x_m) {
  const auto here = between(sections, x_m);
  return {here.x_m, here.mixed(&BenchSection::bark_m), here.nearest().seen};
}

}  // namespace

Eigen::Matrix3d bench_from_log(double roll_rad) {
  return Eigen::AngleAxisd(roll_rad, Eigen::Vector3d::UnitX()).toRotationMatrix();
}

std::optional<BarkPoint> top_at(const BenchSection& section, double y_m) {
  return extreme_at(section, y_m, 1);
}

std::optional<BarkPoint> bottom_at(const BenchSection& section, double y_m) {
  return extreme_at(section, y_m, -1);
}

std::optional<BarkPoint> highest_between(const BenchSection& section, double from_y_m, double to_y_m) {
  std::optional<BarkPoint> best = top_at(section, from_y_m);
  const auto take = [&](const BarkPoint& point) {
    if (!best || point.z_m > best->z_m) {
      best = point;
    }
  };
  if (const auto other = top_at(section, to_y_m)) {
    take(*other);
  }
  for (Eigen::Index i = 0; i < section.bark_m.rows(); ++i) {
    const double y_m = section.bark_m(i, 0);
    if (y_m >= from_y_m && y_m <= to_y_m) {
      take({y_m, section.bark_m(i, 1), section.seen[static_cast<std::size_t>(i)] != 0});
    }
  }
  return best;
}

std::optional<std::pair<double, double>> chord_at(const BenchSection& section, double z_m) {
  double least = std::numeric_limits<double>::infinity();
  double largest = -least;
  for_each_crossing(section, 1, z_m, [&](const Eigen::Vector2d& point, Eigen::Index) {
    least = std::min(least, point.x());
    largest = std::max(largest, point.x());
  });
  if (least > largest) {
    return std::nullopt;
  }
  return std::pair{least, largest};
}

double LevelPlane::height_at(double at_x_m) const {
  return z_m + slope * (at_x_m - x_m);
}

double LevelPlane::distance(double at_x_m, double at_z_m) const {
  return (at_z_m - height_at(at_x_m)) * cosine;
}

Eigen::Vector3d LevelPlane::normal() const {
  return {-slope * cosine, 0, cosine};
}

LevelPlane level_plane(const CutPlane& plane, double roll_rad) {
  const Eigen::Matrix3d turn = bench_from_log(roll_rad);
  const Eigen::Vector3d normal = turn * plane.normal;
  require(normal.allFinite() && std::abs(normal.y()) < kLevelTolerance && normal.z() > 0,
          "a cut plane of the plan is not level across after the plan's roll");
  const Eigen::Vector3d point = turn * plane.point_m;
  const double slope = -normal.x() / normal.z();
  return {point.x(), point.z(), slope, 1 / std::sqrt(1 + slope * slope)};
}

std::vector<LevelPlane> level_planes(const SawPlan& plan) {
  std::vector<LevelPlane> planes;
  for (const CutPlane& plane : plan.planes) {
    planes.push_back(level_plane(plane, plan.orientation.roll_rad));
  }
  return planes;
}

HalfSpace below(const LevelPlane& plane, double shift_m) {
  const Eigen::Vector3d normal = plane.normal();
  return {normal, normal.dot(Eigen::Vector3d(plane.x_m, 0, plane.z_m)) + shift_m};
}

HalfSpace above(const LevelPlane& plane, double shift_m) {
  const HalfSpace space = below(plane, shift_m);
  return {-space.normal, -space.offset};
}

BenchLog::BenchLog(const LogModel& log, double roll_rad) : log_(&log), roll_rad_(roll_rad) {
  check(log);
  const Eigen::Matrix2d turn = bench_from_log(roll_rad).bottomRightCorner<2, 2>();
  sections_.reserve(log.stations.size());
  outermost_.reserve(log.stations.size());
  for (const Station& station : log.stations) {
    sections_.push_back({station.x_m, bark_outline_m(station) * turn.transpose(), station.seen});
    Station further_out = station;
    further_out.bark_radius_m += kSigmas * station.bark_sigma_m;
    outermost_.push_back({station.x_m, bark_outline_m(further_out) * turn.transpose(), station.seen});
  }
}

BenchSection BenchLog::section_at(double x_m) const {
  return blended_at(sections_, x_m);
}

BenchSection BenchLog::outermost_at(double x_m) const {
  return blended_at(outermost_, x_m);
}

double BenchLog::end_x_m(bool large_end, double y_m, double z_m) const {
  const EndPlane& end = large_end ? log_->large_end : log_->small_end;
  const double station_x_m = large_end ? usable_length_m() : 0;
  const Eigen::Matrix3d turn = bench_from_log(roll_rad_);
  const Eigen::Vector3d normal = turn * end.normal;
  if (!end.seen || std::abs(normal.x()) < kLeastEndCosine) {
    return station_x_m;
  }
  const Eigen::Vector3d point = turn * end.point_m;
  const double x_m =
      point.x() - (normal.y() * (y_m - point.y()) + normal.z() * (z_m - point.z())) / normal.x();
  return std::abs(x_m - station_x_m) <= kMostEndOverhang_m ? x_m : station_x_m;
}

std::pair<double, double> BenchLog::extent_x_m() const {
  double first = 0;
  double last = usable_length_m();
  for (Eigen::Index i = 0; i < sections_.front().bark_m.rows(); ++i) {
    first = std::min(first, end_x_m(false, sections_.front().bark_m(i, 0), sections_.front().bark_m(i, 1)));
    last = std::max(last, end_x_m(true, sections_.back().bark_m(i, 0), sections_.back().bark_m(i, 1)));
  }
  return {first, last};
}

Eigen::Vector2d BenchLog::pith_at(double x_m) const {
  return bench_from_log(roll_rad_).bottomRightCorner<2, 2>() * log_->pith_at(x_m);
}

std::optional<BenchLog::Height> BenchLog::bark_above(const LevelPlane& plane, double x_m, double y_m) const {
  /// The foot of the normal and the bark above it lie at slightly different x; the shift is the height times
  /// a slope below 0.2, so each step gains more than a digit on bark that rises less steeply than that.
  constexpr int kSteps = 8;
  std::optional<Height> result;
  double at_x_m = x_m;
  for (int step = 0; step < kSteps; ++step) {
    const auto top = top_at(section_at(at_x_m), y_m);
    if (!top) {
      return std::nullopt;
    }
    result = Height{plane.distance(at_x_m, top->z_m), top->seen};
    const double next_x_m = x_m - plane.slope * plane.cosine * result->height_m;
    if (next_x_m == at_x_m) {
      break;
    }
    at_x_m = next_x_m;
  }
  return result;
}

std::vector<BenchLog::KnotTop> BenchLog::knot_tops() const {
  constexpr double kBeside_m = 0.03;  // beyond the foot, where the bark is as it is around
  constexpr int kParts = 8;           // of a stub's height
  constexpr double kPlay_m = 0.01;    // a stub's place is known to 5 mm
  const Eigen::Matrix3d turn = bench_from_log(roll_rad_);
  std::vector<KnotTop> tops;
  for (const Knot& knot : log_->knots) {
    const Station here = station_at(*log_, knot.x_m);
    const auto at_angle = [&](const Eigen::VectorXd& around) {
      const double turns = knot.theta_rad / (2 * std::numbers::pi);
      const auto n = static_cast<double>(around.size());
      return around[static_cast<Eigen::Index>(std::lround((turns - std::floor(turns)) * n)) % around.size()];
    };
    const double beside_m = knot.extent_m / 2 + kBeside_m;
    double foot_m = 0;
    for (const double x_m : {knot.x_m - beside_m, knot.x_m + beside_m}) {
      const Station beside = station_at(*log_, x_m);
      foot_m += (at_angle(beside.bark_radius_m) + kSigmas * at_angle(beside.bark_sigma_m)) / 2;
    }
    const Eigen::Vector2d outwards(std::cos(knot.theta_rad), std::sin(knot.theta_rad));
    const auto add = [&](double out_m, double aside_m, double extent_m) {
      const Eigen::Vector2d at =
          here.centre_m + out_m * outwards + aside_m * Eigen::Vector2d(-outwards.y(), outwards.x());
      tops.push_back({turn * Eigen::Vector3d(knot.x_m, at.x(), at.y()), extent_m});
    };
    add(foot_m + knot.height_m, 0, knot.extent_m);
    // A stub higher than a half ball leans away from a rail beside it: its flank may stand under the rail
    // where its tip does not.
    if (knot.height_m > knot.extent_m / 2) {
      for (int part = 1; part <= kParts; ++part) {
        for (const double side : {-0.5, 0.5}) {
          add(foot_m + knot.height_m * part / kParts, side * knot.extent_m, kPlay_m);
        }
      }
    }
  }
  return tops;
}

double BenchLog::volume_m3(const std::vector<HalfSpace>& spaces, double from_x_m, double to_x_m) const {
  const double from = std::max(from_x_m, 0.0);
  const double to = std::min(to_x_m, usable_length_m());
  if (!(to > from)) {
    return 0;
  }
  double volume = 0;
  double x_m = from;
  double area = clipped_area_m2(section_at(from), spaces);
  const auto advance = [&](const BenchSection& section) {
    const double next = clipped_area_m2(section, spaces);
    volume += frustum_m3(section.x_m - x_m, area, next);
    x_m = section.x_m;
    area = next;
  };
  for (const BenchSection& section : sections_) {
    if (section.x_m > from && section.x_m < to) {
      advance(section);
    }
  }
  advance(section_at(to));
  return volume;
}

}  // namespace flitchwise::solver
