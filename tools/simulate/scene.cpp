#include "tools/simulate/scene.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <string>

#include "tools/simulate/clutter.hpp"
#include "tools/simulate/within.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kGroundStream = 201;
constexpr double kGroundBumpLength_m = 0.35;  // forest floor: bumps of a boot's to a step's size
constexpr int kGroundWaves = 16;              // rays ask for the ground's height very often
constexpr double kSunk_m = 0.04;              // things press into soft ground, so no gap shows under them
constexpr double kThinnest_m = 0.02;          // a bearer under a log that nearly touches the ground
constexpr double kRayReach_m = 2;             // for bark_top_below

constexpr Within within{"simulated scene"};

RandomField ground_bumps(const Scene& scene) {
  Random random(scene.detail_seed, kGroundStream);
  return {random, scene.unevenness_m, kGroundBumpLength_m, kGroundWaves};
}

// Lowest bark over a stretch of the log, in the shape frame.
double underside_m(const LogSurface& surface, double x_m, double width_m) {
  constexpr int kAcross = 180;
  double lowest = std::numeric_limits<double>::infinity();
  for (const double along : {-0.5, -0.25, 0.0, 0.25, 0.5}) {
    const double x = x_m + along * width_m;
    for (int k = 0; k < kAcross; ++k) {
      const double theta = -std::numbers::pi * k / kAcross;
      lowest = std::min(lowest, surface.point_m(x, theta, surface.bark_radius_m(x, theta)).z());
    }
  }
  return lowest;
}

Eigen::Vector2d along_log(const Scene& scene) {
  return {std::cos(scene.yaw_rad), std::sin(scene.yaw_rad)};
}

Eigen::Vector2d across_log(const Scene& scene) {
  return {-std::sin(scene.yaw_rad), std::cos(scene.yaw_rad)};
}

// Ground position beside the log: `along` from the log's middle.
Eigen::Vector2d spot(const Scene& scene, double along, double across) {
  return scene.position_m.head<2>() + along * along_log(scene) + across * across_log(scene);
}

double bearer_top_m(const Scene& scene, const Ground& ground, const Bearer& bearer, double length_m) {
  const Eigen::Vector2d foot = spot(scene, (bearer.place - 0.5) * length_m, 0);
  return ground.height_m(foot.x(), foot.y()) + bearer.height_m;
}

// Pitch and height such that the underside touches the first and the last bearer.
PosedLog lay(const LogSurface& surface, const Scene& scene, const Ground& ground) {
  const double length = surface.shape().length_m;
  const Bearer& first = scene.bearers.front();
  const Bearer& last = scene.bearers.back();
  const double run = (last.place - first.place) * length;
  const double low_first = underside_m(surface, first.place * length, first.width_m);
  const double low_last = underside_m(surface, last.place * length, last.width_m);
  const double top_first = bearer_top_m(scene, ground, first, length);
  const double top_last = bearer_top_m(scene, ground, last, length);
  const double pitch = std::atan2(top_last - top_first - (low_last - low_first), run);
  PosedLog log{surface, Eigen::Vector3d::Zero(), Eigen::Matrix3d::Identity()};
  log.scan_from_shape = (Eigen::AngleAxisd(scene.yaw_rad, Eigen::Vector3d::UnitZ()) *
                         Eigen::AngleAxisd(-pitch, Eigen::Vector3d::UnitY()))
                            .toRotationMatrix();
  // The middle of the shape frame's x axis stands over the scene's position; its height from the bearer.
  const Eigen::Vector3d middle = log.scan_from_shape * Eigen::Vector3d(length / 2, 0, 0);
  const Eigen::Vector3d touch = log.scan_from_shape * Eigen::Vector3d(first.place * length, 0, low_first);
  log.origin_in_scan_m.head<2>() = scene.position_m.head<2>() - middle.head<2>();
  log.origin_in_scan_m.z() = top_first - touch.z();
  return log;
}

Thing bearer_thing(const Scene& scene, const Ground& ground, const Bearer& bearer, double length_m,
                   double top_m) {
  const Eigen::Vector2d foot = spot(scene, (bearer.place - 0.5) * length_m, 0);
  const double bottom = ground.height_m(foot.x(), foot.y()) - kSunk_m;
  Eigen::Matrix3d axes = Eigen::Matrix3d::Identity();
  axes.col(0).head<2>() = along_log(scene);
  axes.col(1).head<2>() = across_log(scene);
  const double half_height = std::max(top_m - bottom, kThinnest_m) / 2;
  const Eigen::Vector3d middle(foot.x(), foot.y(), top_m - half_height);
  if (bearer.round) {
    return {Thing::Kind::bearer,
            Cylinder{middle - axes.col(1) * bearer.length_m / 2, axes.col(1), bearer.length_m, half_height}};
  }
  return {Thing::Kind::bearer, Box{middle, axes, {bearer.width_m / 2, bearer.length_m / 2, half_height}}};
}

Thing neighbour_thing(const Scene& scene, const Ground& ground, const Neighbour& other,
                      const LogSurface& surface) {
  const double radius = other.diameter_m / 2;
  const double widest = (surface.shape().large_end_diameter_m + surface.shape().flare_m) / 2;
  const double bow = surface.shape().sweep_m + surface.shape().s_sweep_m;
  const double across = other.side * (widest + bow + other.gap_m + radius +
                                      std::abs(std::sin(other.turn_rad)) * other.length_m / 2);
  const double half = other.length_m / 2;
  const Eigen::Rotation2Dd turn(other.turn_rad);
  const Eigen::Vector2d direction = turn * along_log(scene);
  const Eigen::Vector2d middle = spot(scene, other.shift_m, across);
  const Eigen::Vector2d a = middle - half * direction;
  const Eigen::Vector2d b = middle + half * direction;
  const double lift = radius - kSunk_m;
  const Eigen::Vector3d start(a.x(), a.y(), ground.height_m(a.x(), a.y()) + lift);
  const Eigen::Vector3d end(b.x(), b.y(), ground.height_m(b.x(), b.y()) + lift);
  return {Thing::Kind::neighbour, Cylinder{start, (end - start).normalized(), (end - start).norm(), radius}};
}

Thing stump_thing(const Scene& scene, const Ground& ground, const Stump& stump, double length_m) {
  const Eigen::Vector2d foot = spot(scene, stump.place_m.x() - length_m / 2, stump.place_m.y());
  const Eigen::Vector3d start(foot.x(), foot.y(), ground.height_m(foot.x(), foot.y()) - kSunk_m);
  return {Thing::Kind::stump,
          Cylinder{start, Eigen::Vector3d::UnitZ(), stump.height_m + kSunk_m, stump.diameter_m / 2}};
}

}  // namespace

void check(const Scene& scene) {
  within("slope along x", scene.slope.x(), -0.37, 0.37);
  within("slope along y", scene.slope.y(), -0.37, 0.37);
  within("unevenness_m", scene.unevenness_m, 0, 0.1);
  within("ground_margin_m", scene.ground_margin_m, 0, 5);
  within("grass_m", scene.grass_m, 0, 0.5);
  require(scene.bearers.size() >= 2, "simulated scene: the log needs two bearers or more to rest on");
  for (const Bearer& bearer : scene.bearers) {
    within("bearer place", bearer.place, 0, 1);
    within("bearer height_m", bearer.height_m, 0.02, 1);
    within("bearer width_m", bearer.width_m, 0.02, 1);
    within("bearer length_m", bearer.length_m, 0.1, 3);
  }
  require(scene.bearers.back().place > scene.bearers.front().place,
          "simulated scene: the last bearer must lie nearer to the large end than the first");
  for (const Neighbour& other : scene.neighbours) {
    within("neighbour gap_m", other.gap_m, 0, 5);
    within("neighbour diameter_m", other.diameter_m, 0.1, 1.5);
    within("neighbour length_m", other.length_m, 0.3, 20);
  }
  if (scene.fork) {
    within("fork spread_rad", scene.fork->spread_rad, 0.05, 1.4);
    within("fork radius_share", scene.fork->radius_share, 0.1, 1);
    within("fork length_m", scene.fork->length_m, 0.01, 10);
  }
  if (scene.stump) {
    within("stump diameter_m", scene.stump->diameter_m, 0.1, 1.5);
    within("stump height_m", scene.stump->height_m, 0.05, 1.5);
  }
}

Ground::Ground(const Scene& scene)
    : position_m_(scene.position_m), slope_(scene.slope), bumps_(ground_bumps(scene)) {}

double Ground::height_m(double x_m, double y_m) const {
  const Eigen::Vector2d off(x_m - position_m_.x(), y_m - position_m_.y());
  return position_m_.z() + slope_.dot(off) + bumps_.at({off.x(), off.y(), 0});
}

Eigen::Vector3d Ground::normal(double x_m, double y_m) const {
  constexpr double kStep_m = 0.02;
  const double rise_x = (height_m(x_m + kStep_m, y_m) - height_m(x_m - kStep_m, y_m)) / (2 * kStep_m);
  const double rise_y = (height_m(x_m, y_m + kStep_m) - height_m(x_m, y_m - kStep_m)) / (2 * kStep_m);
  return Eigen::Vector3d(-rise_x, -rise_y, 1).normalized();
}

Eigen::Vector3d PosedLog::to_scan(const Eigen::Vector3d& in_shape_m) const {
  return origin_in_scan_m + scan_from_shape * in_shape_m;
}

Eigen::Vector3d PosedLog::to_shape(const Eigen::Vector3d& in_scan_m) const {
  return scan_from_shape.transpose() * (in_scan_m - origin_in_scan_m);
}

double PosedLog::wood_depth_m(const Eigen::Vector3d& in_scan_m) const {
  const Eigen::Vector3d point = to_shape(in_scan_m);
  const LogSurface::Polar polar = surface.polar(point);
  const double radial = surface.wood_radius_m(point.x(), polar.theta) - polar.radius_m;
  return std::min({radial, -surface.small_end().beyond_m(point), -surface.large_end().beyond_m(point)});
}

bool PosedLog::inside_wood(const Eigen::Vector3d& in_scan_m) const {
  return wood_depth_m(in_scan_m) > 0;
}

double PosedLog::bark_height_m(const Eigen::Vector3d& in_scan_m) const {
  const Eigen::Vector3d point = to_shape(in_scan_m);
  const LogSurface::Polar polar = surface.polar(point);
  return polar.radius_m - surface.bark_radius_m(point.x(), polar.theta);
}

bool PosedLog::inside_bark(const Eigen::Vector3d& in_scan_m) const {
  return surface.between_ends(to_shape(in_scan_m)) && bark_height_m(in_scan_m) < 0;
}

std::optional<double> PosedLog::bark_top_below(const Eigen::Vector3d& in_scan_m,
                                               const Eigen::Vector3d& direction) const {
  constexpr double kLeastStep_m = 0.0005;  // no stub wall is thinner
  constexpr double kCareful = 0.3;         // the radial height overstates the distance on steep sides
  const Eigen::Vector3d ahead = direction.normalized();
  const bool started_inside = inside_bark(in_scan_m);
  const Eigen::Vector3d way = started_inside ? Eigen::Vector3d(-ahead) : ahead;
  double before = 0;
  double t = 0;
  while (inside_bark(in_scan_m + t * way) == started_inside) {
    if (t > kRayReach_m) {
      return std::nullopt;
    }
    before = t;
    t += std::max(kLeastStep_m, kCareful * std::min(0.1, std::abs(bark_height_m(in_scan_m + t * way))));
  }
  for (int i = 0; i < 40; ++i) {
    const double middle = (before + t) / 2;
    (inside_bark(in_scan_m + middle * way) == started_inside ? before : t) = middle;
  }
  return started_inside ? -t : t;
}

Eigen::Vector3d Site::on_ground(double along_m, double across_m) const {
  Eigen::Vector3d point = scene.position_m;
  point.x() += along_m * std::cos(scene.yaw_rad) - across_m * std::sin(scene.yaw_rad);
  point.y() += along_m * std::sin(scene.yaw_rad) + across_m * std::cos(scene.yaw_rad);
  point.z() = ground.height_m(point.x(), point.y());
  return point;
}

Site build_site(const LogShape& shape, const Scene& scene) {
  check(scene);
  const LogSurface surface(shape);
  const Ground ground(scene);
  Site site{scene, ground, lay(surface, scene, ground), {}};
  const double length = shape.length_m;
  if (scene.ground) {
    for (const Bearer& bearer : scene.bearers) {
      // The log rests on the outer two. One between them is cut to stay clear of a log that sags there.
      const double under = site.log
                               .to_scan({bearer.place * length, 0,
                                         underside_m(surface, bearer.place * length, bearer.width_m)})
                               .z();
      const double top = std::min(under, bearer_top_m(scene, ground, bearer, length));
      site.things.push_back(bearer_thing(scene, ground, bearer, length, top));
    }
    if (scene.stump) {
      site.things.push_back(stump_thing(scene, ground, *scene.stump, length));
    }
  }
  for (const Neighbour& other : scene.neighbours) {
    site.things.push_back(neighbour_thing(scene, ground, other, surface));
  }
  const auto append = [&site](const std::vector<Thing>& things) {
    site.things.insert(site.things.end(), things.begin(), things.end());
  };
  if (scene.fork) {
    append(fork_stems(scene, site.log));
  }
  if (scene.clutter_seed) {
    append(heavy_clutter(scene, ground, site.log));
  }
  return site;
}

}  // namespace flitchwise::simulate
