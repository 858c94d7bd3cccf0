#include "scan/fit/strangers.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace flitchwise::scan;
using Catch::Matchers::WithinAbs;

constexpr int kColumns = 24;
constexpr Strangers kOutside{0.05, 1, 4, 1, 1};

/// A full turn of places in three rows, all where they are expected.
std::vector<Doubtful> ring(double others_share) {
  std::vector<Doubtful> places;
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < kColumns; ++column) {
      places.push_back({0, 0.004, others_share, row, column});
    }
  }
  return places;
}

std::size_t at(int row, int column) {
  return static_cast<std::size_t>(row * kColumns + column);
}

}  // namespace

TEST_CASE("one place alone is judged by Bayes' rule", "[strangers]") {
  // At its expected place: own density 1 / (sqrt(2 pi) sigma), a stranger's half of 1 / reach.
  const double own = 0.7 / (2.5066282746 * 0.004);
  const double other = 0.3 * 0.5 / 0.05;
  const std::vector<double> shares = own_shares({{0, 0.004, 0.3, 0, 0}}, kColumns, kOutside);
  CHECK_THAT(shares.front(), WithinAbs(own / (own + other), 1e-9));
}

TEST_CASE("what stands out is a stranger, and makes its neighbours doubtful, also across zero",
          "[strangers]") {
  std::vector<Doubtful> places = ring(0.3);
  const double before = own_shares(places, kColumns, kOutside)[at(1, 0)];
  places[at(1, kColumns - 1)].over_m = 0.03;
  places[at(0, kColumns - 1)].over_m = 0.03;
  const std::vector<double> shares = own_shares(places, kColumns, kOutside);
  CHECK(before > 0.95);
  CHECK(shares[at(1, kColumns - 1)] < 1e-6);
  CHECK(shares[at(1, 0)] < before - 0.01);
  CHECK_THAT(shares[at(1, kColumns / 2)], WithinAbs(before, 1e-3));
}

TEST_CASE("strangers that lie outside only make nothing of what lies inside", "[strangers]") {
  std::vector<Doubtful> places = ring(0.3);
  places[at(1, 5)].over_m = -0.007;
  places[at(1, 15)].over_m = 0.007;
  const std::vector<double> shares = own_shares(places, kColumns, kOutside);
  CHECK(shares[at(1, 5)] > 0.95);
  CHECK(shares[at(1, 15)] < 0.92);
  CHECK(own_shares({}, kColumns, kOutside).empty());
}
