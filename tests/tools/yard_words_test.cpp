/// What a yard's choice comes to, in words.

#include <catch2/catch.hpp>

#include "tools/yard/words.hpp"

using namespace flitchwise;
using namespace flitchwise::yard;
using solver::Allocation;

TEST_CASE("an allocation is told in a sentence", "[yard]") {
  Allocation met;
  met.status = Allocation::Status::met;
  met.chosen = {-1, -1, 1, -1};
  met.sawing_order = {2};
  met.lines = {{6, 6, 0, 0, 19}};
  met.wood_m3 = 0.3;
  CHECK(allocation_words(met) == "All 6 boards that are needed come from 1 of 4 logs, 0.30 m3; 3 are saved.");

  Allocation short_of = met;
  short_of.status = Allocation::Status::short_of;
  short_of.chosen = {0, 0};
  short_of.sawing_order = {0, 1};
  short_of.lines = {{4, 2, 2, 0, 2}, {4, 1, 3, 0, 5}, {4, 0, 4, 0, 7}};
  short_of.wood_m3 = 0.6;
  CHECK(allocation_words(short_of) ==
        "9 of 12 boards that are needed are missing when 2 of 2 logs are sawn, 0.60 m3.");

  Allocation nothing;
  nothing.chosen = {-1, -1};
  CHECK(allocation_words(nothing) == "Everything that was ordered is on hand; all 2 logs are saved.");
}

TEST_CASE("how sure an allocation is is told", "[yard]") {
  Allocation allocation;
  CHECK(proof_words(allocation) == "Proven: of the plans that were found, no other choice does better.");
  allocation.gap = 0.01234;
  CHECK(proof_words(allocation) ==
        "Of the plans that were found, no other choice can do better by more than 1.24 %.");
  allocation.time_ran_out = true;
  CHECK(proof_words(allocation) ==
        "The time ran out before the choice was proven: another run may find a better one.");
}

TEST_CASE("what is missing is told with the logs that would do", "[yard]") {
  solver::Order order;
  order.lines.resize(1);
  order.lines[0].target.name = "50x150x3000";
  CHECK(shortage_words(order, {0, 2, 1, 0.2, 3.05}) ==
        "2 more of 50x150x3000: a straight log of about 200 mm small end under bark, 3050 mm long, would do");
  CHECK(shortage_words(order, {0, 60, 4, 0.48, 3.05}) ==
        "60 more of 50x150x3000: 4 straight logs of about 480 mm small end under bark, 3050 mm long, would "
        "do");
  CHECK(shortage_words(order, {0, 2, 0, 0, 0}) ==
        "2 more of 50x150x3000: no straight log of up to 500 mm small end under bark gives one");
}
