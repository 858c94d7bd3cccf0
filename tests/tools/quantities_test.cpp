/// Numbers, lengths and weights as people read them.

#include "tools/report/quantities.hpp"

#include <catch2/catch.hpp>

#include "tools/report/sheet_words.hpp"

using namespace flitchwise::report;
using Catch::Matchers::WithinAbs;

TEST_CASE("lengths in inches are the nearest sixteenth, fractions in lowest terms") {
  CHECK(inches(0.0254) == "1");
  CHECK(inches(0.04572) == "1 13/16");  // 1.8 in
  CHECK(inches(0.0127) == "1/2");
  CHECK(inches(-0.0381) == "-1 1/2");
  CHECK(inches(0.0007) == "0");
  CHECK(inches(0.0254 * 31.99) == "32");
  CHECK(length_text(Units::millimetres, 0.0625) == mm(0.0625) + " mm");
  CHECK(tolerance_words(Units::inches, 0.0015) == "less than 1/16 in");
  CHECK(tolerance_words(Units::inches, 0.0031) == "1/16 in");  // rounded down
}

TEST_CASE("a small length is told to a tenth of a millimetre, or that it is less than a sixteenth") {
  CHECK(fine_length(Units::millimetres, 0.00034) == "0.3 mm");
  CHECK(fine_length(Units::inches, 0.00034) == "less than 1/16 in");
  CHECK(fine_length(Units::inches, 0.0016) == "1/16 in");
  CHECK(fine_length(Units::inches, 0) == "0 in");
}

TEST_CASE("lengths are rounded to what is read, up or down, and sums of lengths not past it") {
  constexpr double kRounding = 1e-12;
  CHECK_THAT(rounded_up(Units::millimetres, 0.0121), WithinAbs(0.013, kRounding));
  CHECK_THAT(rounded_up(Units::millimetres, 0.01 + 0.002), WithinAbs(0.012, kRounding));
  CHECK_THAT(rounded_down(Units::millimetres, 0.0129), WithinAbs(0.012, kRounding));
  CHECK_THAT(rounded_up(Units::inches, 0.0121), WithinAbs(0.0127, kRounding));
  CHECK_THAT(rounded_down(Units::inches, 0.0141), WithinAbs(0.0127, kRounding));
}

TEST_CASE("weights are whole kilograms or pounds") {
  CHECK(weight_text(Units::millimetres, 59.2) == "59 kg");
  CHECK(weight_text(Units::inches, 59) == "130 lb");
  CHECK(weight_text(Units::inches, 23) == "51 lb");
  CHECK(bare_weight(Units::millimetres, 0.4) == "<1");
}

TEST_CASE("plain numbers end with the last digit that counts") {
  CHECK(plain(2) == "2");
  CHECK(plain(1.75) == "1.75");
  CHECK(plain(10) == "10");
  CHECK(plain(1.23456) == "1.235");
}
