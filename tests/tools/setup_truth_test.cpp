#include "tests/support/setup_truth.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "solver/plan/board_size.hpp"

// Scan to sheet on a simulated log whose pith was taped, every figure against the truth and the cut list
// sawn on it. tests/benchmarks/setup_truth.cpp does the same on 30 logs; solver/SETUP.md has its figures.
TEST_CASE("A sheet made from a scan holds on the true log, with both kits") {
  using namespace flitchwise;
  const std::filesystem::path samples(FLITCHWISE_SAMPLES);
  const auto sheets = testing::judge_setups(702, {samples / "kit.toml", samples / "kit-long-rail.toml"},
                                            solver::board_size("40x120x2400"), 1500);
  REQUIRE(sheets.size() == 2);
  const auto within = [](const std::vector<double>& errors_m, double limit_m) {
    return std::all_of(errors_m.begin(), errors_m.end(),
                       [&](double error) { return std::abs(error) < limit_m; });
  };
  for (const testing::SetupErrors& sheet : sheets) {
    CAPTURE(sheet.planned.sheet.kit_name);
    REQUIRE(sheet.boards > 0);
    CHECK(sheet.as_planned.whole == sheet.boards);
    CHECK(sheet.by_tape.fallen == sheet.boards);
    CHECK(sheet.as_planned.worst_size_error_m < 0.0005);
    CHECK(sheet.as_planned.worst_length_error_m < 0.003);
    CHECK(sheet.contacts == 0);
    CHECK(sheet.screws_in_cut == 0);
    CHECK(sheet.screws_near_cut == 0);
    CHECK(sheet.gaps_seen_m.size() > 4);
    CHECK(within(sheet.gaps_seen_m, 0.006));
    CHECK(sheet.heights_m.size() == 6);
    CHECK(within(sheet.heights_m, 0.006));
    CHECK(sheet.heights_beyond_tolerance == 0);
    CHECK(within(sheet.half_widths_m, 0.008));
    CHECK(within(sheet.cut_widths_m, 0.07));  // a stub of 52 mm stands out into one of them, cut aslant
    CHECK(sheet.piece_weights_kg.size() > 3);
    CHECK(within(sheet.piece_weights_kg, 2));
    CHECK(std::abs(sheet.log_volume_share) < 0.02);
  }
}
