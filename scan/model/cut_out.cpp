#include "scan/model/cut_out.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/between.hpp"
#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"

namespace flitchwise {
namespace {

using std::numbers::pi;

constexpr double kStationStep_m = 0.025;  // as in a fitted log
constexpr int kRadiusRounds = 6;          // the surface slopes by a few in a hundred: each gains two digits

/// The piece's frame in the log's.
struct PieceFrame {
  Eigen::Vector3d origin_m;
  Eigen::Matrix3d log_from_piece;  ///< columns: the piece's x, y, z

  Eigen::Vector3d to_log(const Eigen::Vector3d& in_piece_m) const {
    return origin_m + log_from_piece * in_piece_m;
  }
  Eigen::Vector3d to_piece(const Eigen::Vector3d& in_log_m) const {
    return log_from_piece.transpose() * (in_log_m - origin_m);
  }
};

/// The log's surfaces at any place: linear along x and around.
class Surfaces {
 public:
  explicit Surfaces(const LogModel& log) : log_(log) {}

  struct Sample {
    double bark_m = 0;
    double wood_m = 0;
    double bark_sigma_m = 0;
    double wood_sigma_m = 0;
    char seen = 0;
  };

  Eigen::Vector2d centre_m(double x_m) const { return between(log_.stations, x_m).mixed(&Station::centre_m); }

  Sample sample(double x_m, double theta_rad) const {
    const auto here = between(log_.stations, x_m);
    const auto n = here.before.bark_radius_m.size();
    double place = std::fmod(theta_rad / (2 * pi), 1.0);
    place = (place < 0 ? place + 1 : place) * static_cast<double>(n);
    const auto k = static_cast<Eigen::Index>(place) % n;
    const auto next = (k + 1) % n;
    const double v = place - std::floor(place);
    const auto blend = [&](Eigen::VectorXd Station::*values) {
      const auto at = [&](const Station& s) { return (1 - v) * (s.*values)[k] + v * (s.*values)[next]; };
      return (1 - here.share) * at(here.before) + here.share * at(here.after);
    };
    return {blend(&Station::bark_radius_m), blend(&Station::wood_radius_m), blend(&Station::bark_sigma_m),
            blend(&Station::wood_sigma_m),
            here.nearest().seen[static_cast<std::size_t>(v < 1. / 2 ? k : next)]};
  }

 private:
  const LogModel& log_;
};

Eigen::Vector3d on_centreline(const Surfaces& surfaces, double x_m) {
  const Eigen::Vector2d centre_m = surfaces.centre_m(x_m);
  return {x_m, centre_m.x(), centre_m.y()};
}

/// x along the piece's chord, z as near to the scan's up as square to it allows.
Eigen::Matrix3d axes_of(const LogModel& log, const Eigen::Vector3d& chord_m) {
  const Eigen::Vector3d up_in_log = log.frame.scan_from_log.transpose() * Eigen::Vector3d::UnitZ();
  // A log that stands on end has no level side: then its own z serves.
  constexpr double kStanding = 0.999;
  const Eigen::Vector3d x = chord_m.normalized();
  const bool standing = std::abs(up_in_log.dot(x)) > kStanding;
  const Eigen::Vector3d up = standing ? Eigen::Vector3d::UnitZ() : up_in_log;
  const Eigen::Vector3d z = (up - up.dot(x) * x).normalized();
  Eigen::Matrix3d axes;
  axes << x, z.cross(x), z;
  return axes;
}

/// Extreme x in the piece's frame of the bark in a cut across the log.
double innermost_x_m(const Surfaces& surfaces, const PieceFrame& frame, double cut_x_m, int angles,
                     bool largest) {
  const Eigen::Vector2d centre_m = surfaces.centre_m(cut_x_m);
  double x_m = largest ? -1e9 : 1e9;
  for (int k = 0; k < angles; ++k) {
    const double theta = 2 * pi * k / angles;
    const double r = surfaces.sample(cut_x_m, theta).bark_m;
    const double here_m =
        frame.to_piece({cut_x_m, centre_m.x() + r * std::cos(theta), centre_m.y() + r * std::sin(theta)}).x();
    x_m = largest ? std::max(x_m, here_m) : std::min(x_m, here_m);
  }
  return x_m;
}

/// Where the centreline crosses the plane at x of the piece's frame, in that frame.
Eigen::Vector3d centre_in_piece(const Surfaces& surfaces, const PieceFrame& frame, double x_m) {
  double log_x_m = frame.to_log({x_m, 0, 0}).x();
  Eigen::Vector3d centre_m;
  for (int i = 0; i < kRadiusRounds; ++i) {
    centre_m = frame.to_piece(on_centreline(surfaces, log_x_m));
    log_x_m += (x_m - centre_m.x()) * frame.log_from_piece(0, 0);
  }
  return centre_m;
}

/// One of the two surfaces in a direction from the centre, square to the piece's axis.
template <typename Radius>
std::pair<double, Surfaces::Sample> radius_along(const Surfaces& surfaces, const PieceFrame& frame,
                                                 const Eigen::Vector3d& centre_m,
                                                 const Eigen::Vector3d& direction, double start_m,
                                                 const Radius& radius_of) {
  double r = start_m;
  Surfaces::Sample sample;
  for (int i = 0; i < kRadiusRounds; ++i) {
    const Eigen::Vector3d point_m = frame.to_log(centre_m + r * direction);
    const Eigen::Vector2d out_m = point_m.tail<2>() - surfaces.centre_m(point_m.x());
    sample = surfaces.sample(point_m.x(), std::atan2(out_m.y(), out_m.x()));
    r += radius_of(sample) - out_m.norm();
  }
  return {r, sample};
}

Station station_of(const Surfaces& surfaces, const PieceFrame& frame, double x_m, int angles) {
  const Eigen::Vector3d centre_m = centre_in_piece(surfaces, frame, x_m);
  Station s;
  s.x_m = x_m;
  s.centre_m = centre_m.tail<2>();
  for (Eigen::VectorXd* values : {&s.bark_radius_m, &s.wood_radius_m, &s.bark_sigma_m, &s.wood_sigma_m}) {
    values->resize(angles);
  }
  s.seen.resize(static_cast<std::size_t>(angles));
  double bark_m = surfaces.sample(frame.to_log(centre_m).x(), 0).bark_m;
  for (int k = 0; k < angles; ++k) {
    const double theta = 2 * pi * k / angles;
    const Eigen::Vector3d direction(0, std::cos(theta), std::sin(theta));
    const auto bark = radius_along(surfaces, frame, centre_m, direction, bark_m,
                                   [](const Surfaces::Sample& sample) { return sample.bark_m; });
    const auto wood = radius_along(surfaces, frame, centre_m, direction, bark.first,
                                   [](const Surfaces::Sample& sample) { return sample.wood_m; });
    bark_m = bark.first;
    s.bark_radius_m[k] = bark.first;
    s.wood_radius_m[k] = std::min(wood.first, bark.first);
    s.bark_sigma_m[k] = bark.second.bark_sigma_m;
    s.wood_sigma_m[k] = wood.second.wood_sigma_m;
    s.seen[static_cast<std::size_t>(k)] = bark.second.seen;
  }
  return s;
}

EndPlane end_in_piece(const PieceFrame& frame, const EndPlane& end) {
  return {frame.to_piece(end.point_m), frame.log_from_piece.transpose() * end.normal, end.seen};
}

/// The log's straight line through both piths, where it crosses x of the piece.
Eigen::Vector2d pith_in_piece(const LogModel& log, const PieceFrame& frame, double x_m) {
  const auto at = [&](double log_x_m) {
    const Eigen::Vector2d pith_m = log.pith_at(log_x_m);
    return frame.to_piece({log_x_m, pith_m.x(), pith_m.y()});
  };
  const Eigen::Vector3d a = at(0);
  const Eigen::Vector3d b = at(log.usable_length_m());
  const double u = (x_m - a.x()) / (b.x() - a.x());
  return ((1 - u) * a + u * b).tail<2>();
}

std::vector<Knot> knots_in_piece(const LogModel& log, const Surfaces& surfaces, const PieceFrame& frame,
                                 double from_m, double to_m) {
  std::vector<Knot> knots;
  for (Knot knot : log.knots) {
    if (knot.x_m < from_m || knot.x_m > to_m) {
      continue;
    }
    const Eigen::Vector2d centre_m = surfaces.centre_m(knot.x_m);
    const double r = surfaces.sample(knot.x_m, knot.theta_rad).bark_m;
    const Eigen::Vector3d foot_m = frame.to_piece(
        {knot.x_m, centre_m.x() + r * std::cos(knot.theta_rad), centre_m.y() + r * std::sin(knot.theta_rad)});
    const Eigen::Vector3d middle_m = centre_in_piece(surfaces, frame, foot_m.x());
    knot.x_m = foot_m.x();
    knot.theta_rad = std::atan2(foot_m.z() - middle_m.z(), foot_m.y() - middle_m.y());
    knots.push_back(knot);
  }
  return knots;
}

}  // namespace

LogModel cut_out(const LogModel& log, double from_m, double to_m) {
  check(log);
  require(from_m >= 0 && to_m <= log.usable_length_m() && to_m - from_m >= kShortestPiece_m,
          "a piece of a log must lie within it and be at least " +
              std::to_string(std::lround(kShortestPiece_m * kMmAMetre)) + " mm long");
  const Surfaces surfaces(log);
  const int angles = log.angle_count();
  const Eigen::Vector3d first_m = on_centreline(surfaces, from_m);
  const Eigen::Vector3d last_m = on_centreline(surfaces, to_m);
  PieceFrame frame{first_m, axes_of(log, last_m - first_m)};
  // The origin moves along the chord to the innermost full section.
  frame.origin_m += innermost_x_m(surfaces, frame, from_m, angles, true) * frame.log_from_piece.col(0);
  const double usable_m = innermost_x_m(surfaces, frame, to_m, angles, false);
  require(usable_m > 0, "a piece of the log between these cuts would have no full section");

  LogModel piece = log;
  piece.frame.origin_in_scan_m = log.frame.to_scan(frame.origin_m);
  piece.frame.scan_from_log = log.frame.scan_from_log * frame.log_from_piece;
  piece.stations.clear();
  const int spaces = std::max(1, static_cast<int>(std::ceil(usable_m / kStationStep_m)));
  for (int i = 0; i <= spaces; ++i) {
    piece.stations.push_back(station_of(surfaces, frame, usable_m * i / spaces, angles));
  }
  const bool own_small = from_m == 0;
  const bool own_large = to_m == log.usable_length_m();
  piece.small_end =
      end_in_piece(frame, own_small ? log.small_end : EndPlane{first_m, -Eigen::Vector3d::UnitX(), true});
  piece.large_end =
      end_in_piece(frame, own_large ? log.large_end : EndPlane{last_m, Eigen::Vector3d::UnitX(), true});
  piece.length_m = piece.large_end.point_m.x() - piece.small_end.point_m.x();
  piece.pith.small_end_m = pith_in_piece(log, frame, 0);
  piece.pith.large_end_m = pith_in_piece(log, frame, usable_m);
  piece.knots = knots_in_piece(log, surfaces, frame, from_m, to_m);
  return piece;
}

}  // namespace flitchwise
