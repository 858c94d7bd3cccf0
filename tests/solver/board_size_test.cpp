#include "solver/plan/board_size.hpp"

#include <catch2/catch.hpp>

#include "scan/model/errors.hpp"

using namespace flitchwise;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kRounding = 1e-12;  // metres

std::string refusal(const std::string& text) {
  try {
    solver::board_size(text);
  } catch (const BadUse& error) {
    return error.what();
  }
  return "accepted";
}

}  // namespace

TEST_CASE("a board size reads as thickness, width and length", "[board_size]") {
  for (const std::string text : {"50x150x3000", "50X150X3000", "50*150*3000", "50\u00d7150\u00d73000",
                                 "50 x 150 x 3000", " 50x150x3000 ", "50.0x150x3e3", "0050x150x3000"}) {
    INFO(text);
    const solver::Target target = solver::board_size(text);
    CHECK_THAT(target.thickness_m, WithinAbs(0.050, kRounding));
    CHECK_THAT(target.width_m, WithinAbs(0.150, kRounding));
    CHECK_THAT(target.length_m, WithinAbs(3.000, kRounding));
  }
  CHECK(solver::board_size("50 \u00d7 150 X 3000").name == "50x150x3000");
  CHECK_THAT(solver::board_size("22.5x100x2400").thickness_m, WithinAbs(0.0225, kRounding));
}

TEST_CASE("a board may say what it is worth", "[board_size]") {
  CHECK(solver::board_size("50x150x3000").value == 1);
  CHECK_THAT(solver::board_size("50x150x3000=12.5").value, WithinAbs(12.5, kRounding));
  CHECK(solver::board_size("50x150x3000 = 3").name == "50x150x3000");
  CHECK_THAT(solver::board_size("50x150x3000=3").length_m, WithinAbs(3, kRounding));
}

TEST_CASE("what is no board size is refused with an example", "[board_size]") {
  for (const std::string text : {"",
                                 " ",
                                 "x",
                                 "xx",
                                 "50",
                                 "50x150",
                                 "50x150x",
                                 "x150x3000",
                                 "50x150x3000x",
                                 "50x150x3000x4",
                                 "axbxc",
                                 "50,150,3000",
                                 "50x150x3000mm",
                                 "50-150-3000",
                                 "0x1x2",
                                 "50x0x3000",
                                 "-50x150x3000",
                                 "50x-150x3000",
                                 "+50x150x3000",
                                 "infx150x3000",
                                 "nanx150x3000",
                                 "50x150x1e999",
                                 "0x32x96xC8",
                                 "50xx150x3000",
                                 "50x150x3000=",
                                 "50x150x3000=-1",
                                 "50x150x3000=nan",
                                 "50x150x3000=2=3",
                                 "50x150x3000=2x"}) {
    CHECK_THAT(refusal(text), Contains("'" + text + "' is no board size") && Contains("50x150x3000"));
  }
}

TEST_CASE("a size that no log gives is refused in millimetres", "[board_size]") {
  CHECK(refusal("5000x150x3000") == "the board's thickness is 5000 mm, but must lie between 5 and 1000 mm");
  CHECK_THAT(refusal("4.9x150x3000"), Contains("thickness is 4.9 mm"));
  CHECK_THAT(refusal("50x2001x3000"), Contains("width is 2001 mm") && Contains("between 10 and 2000 mm"));
  CHECK_THAT(refusal("50x150x99"), Contains("length is 99 mm") && Contains("between 100 and 30000 mm"));
  CHECK_THAT(refusal("2x6x8"), Contains("mm"));  // inches and feet
  CHECK(refusal("5x10x100") == "accepted");
  CHECK(refusal("1000x2000x30000") == "accepted");
}
