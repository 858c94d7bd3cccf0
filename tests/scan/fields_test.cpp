#include "scan/model/fields.hpp"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

namespace flitchwise::test {
namespace {

struct Place {
  double x_m = 1;
  std::string name = "top";
  std::vector<double> heights_m = {2, 3};
};
FLITCHWISE_FIELDS(Place, x_m, name, heights_m)

struct Undescribed {
  double x_m = 0;
};

static_assert(Described<Place>);
static_assert(!Described<Undescribed>);
static_assert(std::tuple_size_v<decltype(fields<Place>())> == 3);

TEST_CASE("a description names every field in its order and reaches it") {
  Place place;
  std::string names;
  for_each_field(place, [&](std::string_view name, auto& member) {
    names += std::string(name) + " ";
    member = {};
  });
  CHECK(names == "x_m name heights_m ");
  CHECK(place.x_m == 0);
  CHECK(place.name.empty());
  CHECK(place.heights_m.empty());
}

TEST_CASE("a description reads a value that is const") {
  const Place place;
  int count = 0;
  for_each_field(place, [&](std::string_view, const auto&) { ++count; });
  CHECK(count == 3);
}

}  // namespace
}  // namespace flitchwise::test
