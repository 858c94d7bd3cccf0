#include "scan/model/between.hpp"

#include <catch2/catch.hpp>
#include <vector>

namespace flitchwise {
namespace {

struct Width {
  double x_m = 0;
  double width_m = 0;
};

const std::vector<Width> kWidths{{0, 10}, {1, 20}, {3, 40}};

}  // namespace

TEST_CASE("between two sections a value is in proportion, on a section it is exact", "[between]") {
  CHECK(between(kWidths, 0.5).mixed(&Width::width_m) == 15);
  CHECK(between(kWidths, 2).mixed(&Width::width_m) == 30);
  for (const Width& at : kWidths) {
    CHECK(between(kWidths, at.x_m).mixed(&Width::width_m) == at.width_m);
    CHECK(between(kWidths, at.x_m).nearest().x_m == at.x_m);
  }
}

TEST_CASE("beyond the ends the end's section holds", "[between]") {
  CHECK(between(kWidths, -5).mixed(&Width::width_m) == 10);
  CHECK(between(kWidths, -5).x_m == 0);
  CHECK(between(kWidths, 7).mixed(&Width::width_m) == 40);
  CHECK(between(kWidths, 7).x_m == 3);
}

TEST_CASE("the nearer neighbour is named", "[between]") {
  CHECK(between(kWidths, 1.9).nearest().x_m == 1);
  CHECK(between(kWidths, 2.1).nearest().x_m == 3);
}

}  // namespace flitchwise
