#include "scan/model/numbers.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

using namespace flitchwise;

TEST_CASE("a number must fill its text and be finite") {
  CHECK(parse_double("12.5") == 12.5);
  CHECK(parse_double("-.5e3") == -500);
  CHECK(parse_double("0.1") == 0.1);  // the nearest double, to the last bit
  for (const char* const text : {"", " 1", "1 ", "+1", "1,5", "0x10", "1e", "one", "nan", "inf", "1e400"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_double(text).has_value());
  }
}

TEST_CASE("a number at the start of a text is read up to its end") {
  const std::string text = "3.25e1x7";
  double number = 0;
  const char* const stop = read_double(text.data(), text.data() + text.size(), number);
  CHECK(number == 32.5);
  CHECK(stop == text.data() + 6);
  CHECK(read_double(stop, text.data() + text.size(), number) == nullptr);
  const std::string huge = "-1e400";
  CHECK(read_double(huge.data(), huge.data() + huge.size(), number) != nullptr);
  CHECK(std::isinf(number));
}
