// A piece of a log: the same wood in its own frame.

#include "scan/model/cut_out.hpp"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "scan/model/errors.hpp"
#include "tests/support/random_log.hpp"

namespace {

using namespace flitchwise;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

constexpr int kStations = 161;
constexpr int kAngles = 120;

/// A log that lies askew in its scan.
LogModel log_of(std::uint64_t seed) {
  LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
  log.frame.origin_in_scan_m = {1, -2, 0.5};
  const double turn = 0.7;
  log.frame.scan_from_log << std::cos(turn), -std::sin(turn), 0, std::sin(turn), std::cos(turn), 0, 0, 0, 1;
  log.pith.small_end_m = {0.01, -0.004};
  log.pith.large_end_m = {-0.02, 0.012};
  return log;
}

Eigen::Vector3d on_surface(const Station& s, int k, double radius_m) {
  const double theta = 2 * std::numbers::pi * k / static_cast<double>(s.wood_radius_m.size());
  return {s.x_m, s.centre_m.x() + radius_m * std::cos(theta), s.centre_m.y() + radius_m * std::sin(theta)};
}

/// How far a point of the log frame lies outside its wood, square to x.
double outside_m(const LogModel& log, const Eigen::Vector3d& p) {
  const Station s = station_at(log, p.x());
  const Eigen::Vector2d out = p.tail<2>() - s.centre_m;
  const auto n = s.wood_radius_m.size();
  double place = std::atan2(out.y(), out.x()) / (2 * std::numbers::pi);
  place = (place < 0 ? place + 1 : place) * static_cast<double>(n);
  const auto k = static_cast<Eigen::Index>(place) % n;
  const double u = place - std::floor(place);
  return out.norm() - ((1 - u) * s.wood_radius_m[k] + u * s.wood_radius_m[(k + 1) % n]);
}

}  // namespace

TEST_CASE("a piece's wood is the log's wood, wherever it lies in the scan", "[cut_out]") {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
    const LogModel log = log_of(seed);
    const double usable_m = log.usable_length_m();
    for (const auto& [from, to] : {std::pair(0.0, 0.4), std::pair(0.35, 0.8), std::pair(0.5, 1.0)}) {
      CAPTURE(seed, from, to);
      const LogModel piece = cut_out(log, from * usable_m, to * usable_m);
      REQUIRE(piece.find_error().empty());
      for (const Station& s : piece.stations) {
        for (int k = 0; k < kAngles; k += 7) {
          const Eigen::Vector3d in_log =
              log.frame.to_log(piece.frame.to_scan(on_surface(s, k, s.wood_radius_m[k])));
          CHECK(std::abs(outside_m(log, in_log)) < 2e-5);
          CHECK(in_log.x() >= from * usable_m - 1e-9);
          CHECK(in_log.x() <= to * usable_m + 1e-9);
        }
      }
      // Its own frame: the chord is the x axis, and z is as near to up as can be.
      CHECK(piece.frame.scan_from_log.determinant() > 0.999999);
      CHECK_THAT(piece.frame.scan_from_log(2, 1), WithinAbs(0, 1e-12));
      CHECK(piece.frame.scan_from_log(2, 2) > 0);
      for (const Station* end : {&piece.stations.front(), &piece.stations.back()}) {
        CHECK(end->centre_m.norm() < 0.003);  // the innermost section lies a little in from the cut's middle
      }
      // The cuts take what they slant, and no more.
      CHECK(piece.usable_length_m() < (to - from) * usable_m * 1.01);
      CHECK(piece.usable_length_m() > (to - from) * usable_m - 0.05);
      CHECK(piece.length_m > piece.usable_length_m());
      CHECK(piece.sweep_m() < log.sweep_m() + 1e-6);
      // The pith stays where it is.
      for (const double x_m : {0.0, piece.usable_length_m()}) {
        const Eigen::Vector2d pith = piece.pith_at(x_m);
        const Eigen::Vector3d in_log = log.frame.to_log(piece.frame.to_scan({x_m, pith.x(), pith.y()}));
        CHECK((in_log.tail<2>() - log.pith_at(in_log.x())).norm() < 1e-9);
      }
    }
  }
}

TEST_CASE("both pieces of a log hold its volume", "[cut_out]") {
  const LogModel log = log_of(5);
  const double middle_m = log.usable_length_m() / 2;
  const double both_m3 =
      cut_out(log, 0, middle_m).volume_m3() + cut_out(log, middle_m, log.usable_length_m()).volume_m3();
  CHECK(both_m3 < log.volume_m3());
  CHECK(both_m3 > 0.97 * log.volume_m3());  // the rest lies in the wedges at the slanting cut
}

TEST_CASE("the whole of a log is the log itself", "[cut_out]") {
  const LogModel log = log_of(6);
  const LogModel piece = cut_out(log, 0, log.usable_length_m());
  CHECK_THAT(piece.usable_length_m(), WithinAbs(log.usable_length_m(), 1e-9));
  CHECK((piece.frame.origin_in_scan_m - log.frame.origin_in_scan_m).norm() < 1e-9);
  CHECK((piece.frame.scan_from_log - log.frame.scan_from_log).norm() < 1e-9);
  CHECK_THAT(piece.volume_m3(), WithinRel(log.volume_m3(), 1e-4));
  CHECK((piece.small_end.point_m - log.small_end.point_m).norm() < 1e-9);
  CHECK((piece.pith.large_end_m - log.pith.large_end_m).norm() < 1e-9);
}

TEST_CASE("knots, ends and doubts go with the piece", "[cut_out]") {
  LogModel log = log_of(7);
  const double usable_m = log.usable_length_m();
  log.knots = {{0.3, 1.0, 0.02, 0.05}, {usable_m - 0.4, -2.0, 0.03, 0.06}};
  log.small_end.seen = false;
  for (Station& s : log.stations) {
    s.wood_sigma_m.setConstant(s.x_m < usable_m / 2 ? 0.002 : 0.006);
    s.seen.assign(s.seen.size(), s.x_m < usable_m / 2 ? 1 : 0);
  }
  const LogModel small = cut_out(log, 0, 0.45 * usable_m);
  const LogModel large = cut_out(log, 0.55 * usable_m, usable_m);
  REQUIRE(small.knots.size() == 1);
  CHECK_THAT(small.knots.front().x_m, WithinAbs(0.3, 0.02));
  CHECK_THAT(small.knots.front().theta_rad, WithinAbs(1.0, 0.2));
  REQUIRE(large.knots.size() == 1);
  CHECK_THAT(large.knots.front().x_m, WithinAbs(large.usable_length_m() - 0.4, 0.02));
  CHECK_FALSE(small.small_end.seen);
  CHECK(small.large_end.seen);
  CHECK(small.seen_share() == 1);
  CHECK(large.seen_share() == 0);
  CHECK_THAT(small.stations.back().wood_sigma_m[3], WithinAbs(0.002, 1e-9));
  CHECK_THAT(large.stations.front().wood_sigma_m[3], WithinAbs(0.006, 1e-9));
}

TEST_CASE("a piece that is none is refused", "[cut_out]") {
  const LogModel log = log_of(8);
  const double usable_m = log.usable_length_m();
  CHECK_THROWS_AS(cut_out(log, -0.1, 1), BadUse);
  CHECK_THROWS_AS(cut_out(log, 1, usable_m + 0.1), BadUse);
  CHECK_THROWS_AS(cut_out(log, 1, 1.1), BadUse);
  CHECK_THROWS_AS(cut_out(log, 2, 1), BadUse);
  CHECK_THROWS_AS(cut_out(log, std::nan(""), 1), BadUse);
  CHECK_THROWS_AS(cut_out({}, 0, 1), BadUse);
}
