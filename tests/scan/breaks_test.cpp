/// Breaks along a track of slices: sharp corners are breaks, what grew crooked is none.

#include "scan/find/breaks.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>

namespace {

using namespace flitchwise::scan;
using Turn = std::function<double(double along_m)>;  // of the track's direction, radians

constexpr double kDegree = std::numbers::pi / 180;
constexpr double kLength_m = 4;

std::vector<Break> breaks_of(const Turn& turn_at) {
  constexpr double kStep_m = 0.1;
  std::vector<TrackPoint> track;
  Eigen::Vector3d at = Eigen::Vector3d::Zero();
  for (double along_m = 0; along_m <= kLength_m; along_m += kStep_m) {
    TrackPoint point;
    point.centre_m = at;
    point.radius_m = 0.15;
    track.push_back(point);
    const double turn = turn_at(along_m + kStep_m / 2);
    at += kStep_m * Eigen::Vector3d(std::cos(turn), std::sin(turn), 0);
  }
  return find_breaks({track}, {});
}

/// Corners of this turn at each of these places, the same way.
Turn corners(double turn_rad, std::vector<double> places_m) {
  return [=](double along_m) {
    double turn = 0;
    for (const double place_m : places_m) {
      turn += along_m > place_m ? turn_rad : 0;
    }
    return turn;
  };
}

/// A steady bend over this stretch, which turns by `turn_rad` between lines of 0.45 m on either side.
Turn crook(double turn_rad, double length_m) {
  return [=](double along_m) {
    const double in_bend_m = std::clamp(along_m - (kLength_m - length_m) / 2, 0.0, length_m);
    return turn_rad * in_bend_m / 0.45;
  };
}

}  // namespace

TEST_CASE("a track's corner is a break, its place is the corner's", "[isolate]") {
  for (const double turn_rad : {14 * kDegree, 20 * kDegree, 40 * kDegree}) {
    CAPTURE(turn_rad);
    const auto breaks = breaks_of(corners(turn_rad, {2}));
    REQUIRE(breaks.size() == 1);
    CHECK(breaks[0].flaw == Flaw::kink);
    CHECK(std::abs(breaks[0].begin_m - 2) < 0.11);
  }
}

TEST_CASE("a stem that grew crooked is not broken, but one that bends sharply for long is", "[isolate]") {
  CHECK(breaks_of(crook(13 * kDegree, 1.2)).empty());
  CHECK_FALSE(breaks_of(crook(20 * kDegree, 1.2)).empty());
  CHECK_FALSE(breaks_of(corners(20 * kDegree, {1.7, 2.3})).empty());
}
