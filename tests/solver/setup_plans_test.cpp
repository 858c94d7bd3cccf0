/// Setups of the search's own plans on invented logs, with every figure derived again from the log.

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <numbers>

#include "solver/search/search.hpp"
#include "solver/search/tolerance.hpp"
#include "solver/setup/kit_file.hpp"
#include "solver/setup/setup.hpp"
#include "tests/support/random_log.hpp"

using Catch::Matchers::WithinAbs;
using namespace flitchwise;
using namespace flitchwise::solver;

namespace {

constexpr double kRounding = 1e-9;
constexpr int kStations = 120;
constexpr int kAngles = 180;
/// The bark between two samples: a chord here, an even change of radius in the check. At 0.3 m and 2 degrees
/// they differ by 0.3 (1 - cos(1 degree)) = 0.05 mm, and the ray goes in steps of 0.02 mm.
constexpr double kBetweenSamples_m = 0.0001;

/// Whether a point of the bench frame lies in the log, bark included.
bool in_log(const LogModel& log, double roll, const Eigen::Vector3d& bench) {
  const Eigen::Vector3d p = Eigen::AngleAxisd(-roll, Eigen::Vector3d::UnitX()) * bench;
  const Station section = station_at(log, p.x());
  const Eigen::Vector2d from_centre = p.tail<2>() - section.centre_m;
  const double turn = std::atan2(from_centre.y(), from_centre.x()) / (2 * std::numbers::pi);
  const double place = (turn - std::floor(turn)) * kAngles;
  const int k = static_cast<int>(place) % kAngles;
  const double u = place - std::floor(place);
  return from_centre.norm() <=
         (1 - u) * section.bark_radius_m[k] + u * section.bark_radius_m[(k + 1) % kAngles];
}

/// The gap under a screw, by going down from the rail's underside in small steps.
double marched_gap_m(const LogModel& log, const SawPlan& plan, const SetupSheet& sheet, double x_m,
                     double y_m) {
  constexpr double kStep_m = 0.00002;
  const double pitch = plan.orientation.pitch;
  const Eigen::Vector3d up = Eigen::Vector3d(-pitch, 0, 1).normalized();
  const Eigen::Vector3d point =
      Eigen::AngleAxisd(sheet.roll_rad, Eigen::Vector3d::UnitX()) * plan.planes[sheet.opening_plane].point_m;
  const Eigen::Vector3d foot(x_m, y_m, point.z() + pitch * (x_m - point.x()));
  double gap_m = 0;
  while (gap_m < 1 && !in_log(log, sheet.roll_rad, foot + (sheet.rail_height_m - gap_m) * up)) {
    gap_m += kStep_m;
  }
  return gap_m;
}

/// The cuts that make a board: all level ones, and those of its flitch and length window.
std::vector<Cut> cuts_for(const SawPlan& plan, const SetupSheet& sheet, const Board& board) {
  std::vector<Cut> cuts;
  for (const Cut& cut : sheet.cuts) {
    const bool level = cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level;
    const bool of_flitch = cut.piece.kind == Piece::Kind::flitch && cut.piece.flitch == board.flitch &&
                           (cut.piece.window == Piece::kNone || cut.piece.window == board.window);
    if (level || of_flitch || cut.piece.board == board.id) {
      cuts.push_back(cut);
    }
  }
  CHECK(cuts.size() > plan.planes.size());
  return cuts;
}

/// Faces of the board that lie half a kerf from a cut, ends with the allowance of 1 mm or at the end of the
/// log; -1 if a kerf reaches into the board.
int faces_freed(const LogModel& log, const SawPlan& plan, const Board& board, const std::vector<Cut>& cuts) {
  constexpr double kTrim_m = 0.001;
  std::array<bool, 6> freed{};  // small end, large end, left, right, top, bottom
  const std::array<std::array<std::size_t, 4>, 6> faces{
      {{0, 1, 2, 3}, {4, 5, 6, 7}, {0, 3, 4, 7}, {1, 2, 5, 6}, {2, 3, 6, 7}, {0, 1, 4, 5}}};
  for (const Cut& cut : cuts) {
    const bool across = cut.kind == Cut::Kind::crosscut;
    const bool along = cut.kind == Cut::Kind::edging;
    const double half_m = (across  ? plan.options.crosscut_kerf_m
                           : along ? plan.options.rip_kerf_m
                                   : plan.options.kerf_m) /
                          2;
    double least = 1;
    double most = -1;
    for (const Eigen::Vector3d& corner : board.corners_m) {
      const double distance_m = cut.plane.normal.dot(corner - cut.plane.point_m);
      least = std::min(least, distance_m);
      most = std::max(most, distance_m);
    }
    if ((least > 0 ? least : -most) < half_m - kRounding) {
      return -1;
    }
    for (std::size_t face = 0; face < faces.size(); ++face) {
      double farthest = 0;
      for (const std::size_t corner : faces.at(face)) {
        const double distance_m = cut.plane.normal.dot(board.corners_m.at(corner) - cut.plane.point_m);
        farthest = std::max(farthest, std::abs(distance_m));
      }
      freed.at(face) = freed.at(face) || farthest < half_m + (across ? kTrim_m : 0) + kRounding;
    }
  }
  for (std::size_t corner = 0; corner < 4; ++corner) {  // an end at the end of the log needs no cut
    freed[0] = freed[0] || board.corners_m.at(corner).x() < kTrim_m;
    freed[1] = freed[1] || board.corners_m.at(corner + 4).x() > log.usable_length_m() - kTrim_m;
  }
  return static_cast<int>(std::count(freed.begin(), freed.end(), true));
}

void check_supports(const LogModel& log, const SawPlan& plan, const SetupSheet& sheet, const Kit& kit) {
  for (const Support& support : sheet.supports) {
    CAPTURE(support.rail_position, support.support, support.x_m);
    for (const ScrewPoint& screw : {support.left, support.right}) {
      if (screw.status == ScrewPoint::Status::no_bearing) {
        CHECK(std::isnan(screw.gap_m));
        continue;
      }
      CHECK(support.x_m >= 0);
      CHECK(support.x_m <= log.usable_length_m());
      const double reach_m = screw.gap_m + kit.screw_bite_m;
      CHECK(sheet.rail_height_m - reach_m >= kit.screw_to_cut_m - kRounding);
      CHECK((screw.status == ScrewPoint::Status::packer) == (reach_m > kit.screw_reach_max_m + kRounding));
      CHECK((screw.status == ScrewPoint::Status::relieve) == (reach_m < kit.screw_reach_min_m - kRounding));
      if (screw.gap_m > 0) {
        const double marched_m = marched_gap_m(log, plan, sheet, support.x_m, screw.y_m);
        CHECK_THAT(screw.gap_m, WithinAbs(marched_m, kBetweenSamples_m));
      }
    }
  }
}

}  // namespace

TEST_CASE("Setups of searched plans hold on the log itself") {
  const std::filesystem::path samples(FLITCHWISE_SAMPLES);
  int plans = 0;
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    const test::LogShape shape = test::random_shape(seed);
    const LogModel log = test::make_log(shape, kStations, kAngles);
    for (const char* file : {"kit.toml", "kit-long-rail.toml"}) {
      const Kit kit = read_kit(samples / file);
      SearchOptions options;
      options.kerf_m = kit.kerf_m;
      const double roll = static_cast<double>(seed) - 4;
      const double pitch = 0.004 * (static_cast<double>(seed % 3) - 1);
      const SawPlan plan =
          plan_at(log, {{"50x120x1500", 0.05, 0.12, 1.5}}, options, {roll, pitch, shape.radius_m - 0.03});
      if (plan.status != SawPlan::Status::ok) {
        continue;
      }
      ++plans;
      const SetupSheet sheet = set_up(log, plan, kit, height_tolerance(log, plan));
      CAPTURE(seed, file, sheet.opening_plane, sheet.rail_height_m);
      check_supports(log, plan, sheet, kit);
      for (const Board& board : plan.boards) {
        CAPTURE(board.id);
        CHECK(faces_freed(log, plan, board, cuts_for(plan, sheet, board)) == 6);
      }
    }
  }
  CHECK(plans >= 12);
}
