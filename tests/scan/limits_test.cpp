#include "scan/model/limits.hpp"

#include <catch2/catch.hpp>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "scan/model/errors.hpp"

namespace flitchwise::test {
namespace {

struct Saw {
  double kerf_m = 0.009;
  std::optional<double> bar_m;
  std::vector<double> tilts_rad;
  int teeth = 60;
  double wear_share = 0;
  std::string name;
};
FLITCHWISE_FIELDS(Saw, kerf_m, bar_m, tilts_rad, teeth, wear_share, name)
constexpr auto limits_of(const Saw*) {
  return std::tuple{Limit{&Saw::kerf_m, {0, 0.05}}, Limit{&Saw::bar_m, {0.1, 3}},
                    Limit{&Saw::tilts_rad, {-90 * kRadADegree, 90 * kRadADegree}},
                    Limit{&Saw::teeth, {1, 500}}, Limit{&Saw::wear_share, {0, 0.5, true}}};
}

static_assert(range_of<&Saw::teeth>().most == 500);
static_assert(name_of(&Saw::wear_share) == "wear_share");

/// What the check of a saw with one field changed throws, or nothing.
template <typename Member, typename Value>
std::string refusal(Member Saw::*member, const Value& value, std::string_view whose = {}) {
  Saw saw;
  saw.*member = value;
  try {
    check_limits(saw, whose);
  } catch (const BadUse& error) {
    return error.what();
  }
  return "";
}

TEST_CASE("a number out of its range is named with field, value and range") {
  CHECK_NOTHROW(check_limits(Saw()));
  CHECK(refusal(&Saw::kerf_m, 0.05).empty());
  CHECK(refusal(&Saw::kerf_m, 0.06) == "kerf_m is 0.06, but must lie between 0 and 0.05");
  CHECK(refusal(&Saw::teeth, 0) == "teeth is 0, but must lie between 1 and 500");
  CHECK_FALSE(refusal(&Saw::kerf_m, std::numeric_limits<double>::quiet_NaN()).empty());
}

TEST_CASE("every number of a list and one that is given are checked") {
  CHECK(refusal(&Saw::bar_m, std::nullopt).empty());
  CHECK(refusal(&Saw::bar_m, 4.0) == "bar_m is 4, but must lie between 0.1 and 3");
  CHECK(refusal(&Saw::tilts_rad, std::vector{0.1, 2.0}).starts_with("tilts_rad is 2, but"));
}

TEST_CASE("an open range does not hold its end") {
  CHECK(refusal(&Saw::wear_share, 0.4999).empty());
  CHECK(refusal(&Saw::wear_share, 0.5) == "wear_share is 0.5, but must be at least 0 and less than 0.5");
}

TEST_CASE("a person is told in a person's words and units") {
  CHECK(refusal(&Saw::kerf_m, 0.06, "the saw's ") ==
        "the saw's kerf is 60 mm, but must lie between 0 and 50 mm");
  CHECK(refusal(&Saw::tilts_rad, std::vector{100 * kRadADegree}, "the saw's ") ==
        "the saw's tilts is 100 degrees, but must lie between -90 and 90 degrees");
  CHECK(person_unit("kerf_m").to_field(9) == 0.009);
  CHECK(person_unit("roll_only_rad").to_field(90) == 90 * kRadADegree);
  CHECK(person_unit("sigmas").text.empty());
  CHECK(person_unit("time_limit_s").text == " s");
}

}  // namespace
}  // namespace flitchwise::test
