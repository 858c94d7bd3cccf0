#include "solver/allocate/shortages.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "scan/model/errors.hpp"
#include "solver/plan/board_size.hpp"

using namespace flitchwise;
using namespace flitchwise::solver;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

/// What an empty yard lacks of one size.
Shortage shortage_of(const std::string& size, int quantity, const SearchOptions& options = {}) {
  Order order;
  order.lines.push_back({board_size(size), quantity});
  const std::vector<Shortage> all = shortages(order, allocate(order, {}), options);
  REQUIRE(all.size() == 1);
  return all.front();
}

/// The least circle round boards stacked on each other, and two sigma of surface on both sides, in steps of
/// 10 mm.
double stack_diameter_m(int boards, double thickness_m, double width_m, double kerf_m) {
  constexpr double kSigma_m = 0.003;
  constexpr double kSigmas = 2;
  constexpr double kStep_m = 0.01;
  constexpr double kThickerBehindTrim_m = 0.01 * 0.0175;  // taper times how far in the boards may begin
  const double height_m = boards * thickness_m + (boards - 1) * kerf_m;
  return std::ceil((std::hypot(height_m, width_m) + 2 * kSigmas * kSigma_m - kThickerBehindTrim_m) /
                   kStep_m) *
         kStep_m;
}

}  // namespace

TEST_CASE("the log that is asked for is the circle round the boards that are missing", "[shortages]") {
  // For one to three boards of two to three times their thickness in width, the stack is the tightest way.
  constexpr double kRounding = 1e-9;
  for (int boards = 1; boards <= 3; ++boards) {
    INFO(boards << " boards");
    const Shortage shortage = shortage_of("50x145x3000", boards);
    CHECK(shortage.boards == boards);
    CHECK(shortage.logs == 1);
    CHECK_THAT(shortage.small_end_diameter_m,
               WithinAbs(stack_diameter_m(boards, 0.05, 0.145, 0.009), kRounding));
    CHECK_THAT(shortage.log_length_m, WithinAbs(3.05, kRounding));
  }
  SearchOptions wide;
  wide.kerf_m = 0.02;
  CHECK_THAT(shortage_of("50x150x3000", 2, wide).small_end_diameter_m,
             WithinAbs(stack_diameter_m(2, 0.05, 0.15, 0.02), kRounding));
}

TEST_CASE("where one log is not enough, several are named, and none where none gives a board",
          "[shortages]") {
  const Shortage many = shortage_of("50x150x3000", 60);
  CHECK(many.logs > 1);
  CHECK(many.logs < 6);  // a log of 500 mm gives a dozen at least
  const Shortage wide = shortage_of("50x600x3000", 2);
  CHECK(wide.logs == 0);
  CHECK(wide.boards == 2);
}

TEST_CASE("only lines that are short are named", "[shortages]") {
  Order order;
  order.lines.push_back({board_size("50x150x3000"), 2});
  order.lines.push_back({board_size("50x100x2000"), 3});
  const Allocation allocation = allocate(order, {{"a", {{{2, 1}, 0.3, 0, 0}}}});
  const std::vector<Shortage> all = shortages(order, allocation);
  REQUIRE(all.size() == 1);
  CHECK(all.front().line == 1);
  CHECK(all.front().boards == 2);
  CHECK_THROWS_WITH(shortages(order, Allocation{}), Contains("another order"));
}
