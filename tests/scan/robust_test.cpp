#include "scan/model/robust.hpp"

#include <catch2/catch.hpp>
#include <vector>

namespace flitchwise {
namespace {

using Catch::Matchers::WithinAbs;

constexpr double kRounding = 1e-12;

}  // namespace

TEST_CASE("the median of an even number is the upper middle value, the even median the mean of both",
          "[robust]") {
  const std::vector<double> even{4, 1, 100, 2};
  CHECK(median(even) == 4);
  CHECK(even_median(even) == 3);
  const std::vector<double> odd{4, 1, 100};
  CHECK(median(odd) == 4);
  CHECK(even_median(odd) == 4);
}

TEST_CASE("a quantile is one of the values, the least and the largest at its ends", "[robust]") {
  const std::vector<double> values{5, 3, 1, 2, 4};
  CHECK(quantile(values, 0) == 1);
  CHECK(quantile(values, 0.5) == 3);
  CHECK(quantile(values, 0.74) == 3);
  CHECK(quantile(values, 0.75) == 4);
  CHECK(quantile(values, 1) == 5);
}

TEST_CASE("no values have no spread", "[robust]") {
  CHECK(quantile({}, 0.5) == 0);
  CHECK(median({}) == 0);
  CHECK(even_median({}) == 0);
  CHECK(mad_sigma({}) == 0);
}

TEST_CASE("one wild value does not move the robust standard deviation", "[robust]") {
  CHECK_THAT(mad_sigma({9, 10, 11, 12, 8}, 10), WithinAbs(kMadToSigma, kRounding));
  CHECK_THAT(mad_sigma({9, 10, 11, 1e9, 8}, 10), WithinAbs(kMadToSigma, kRounding));
  CHECK_THAT(mad_sigma({-2, 2, -2}), WithinAbs(2 * kMadToSigma, kRounding));
}

}  // namespace flitchwise
