// The E57 files are made in survey_files.cpp from the standard. Debian has no E57 library to write or read
// them. By hand, an independent reader (web-e57 1.2.0 from npm) read such files, without the packets to be
// ignored that it does not support: the same points and colours in single, double and scaled integer, with
// and without a pose, with every check sum accepted.
#include <catch2/catch.hpp>

#include "tests/scan/survey_files.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;
using Type = E57Column::Type;

namespace {

constexpr std::size_t kPoints = 1500;  // more than one batch

E57Part part_of(const std::vector<std::vector<E57Column>>& groups) {
  E57Part part;
  for (const std::vector<E57Column>& group : groups) {
    part.columns.insert(part.columns.end(), group.begin(), group.end());
  }
  return part;
}

E57Column column(const std::string& name, Type type, std::function<double(std::size_t)> value,
                 std::int64_t minimum = 0, std::int64_t maximum = 0) {
  return {name, type, minimum, maximum, 1, 0, std::move(value)};
}

std::string replaced(std::string bytes, const std::string& what, const std::string& with) {
  const std::size_t at = bytes.find(what);
  REQUIRE(at != std::string::npos);
  REQUIRE(what.size() == with.size());  // no offset may move
  return with_check_sums(bytes.replace(at, what.size(), with));
}

}  // namespace

TEST_CASE("the tests' check sum is the published one") {
  CHECK(castagnoli("123456789") == 0xE3069283);  // RFC 3720 and the catalogues of CRC algorithms
}

TEST_CASE("E57 is read with floating and scaled coordinates, with and without colour") {
  const Type type = GENERATE(Type::single, Type::real, Type::scaled);
  CHECK(difference(read_bytes(e57_bytes({part_of({e57_position(type)})})).cloud, kPoints, false).empty());
  const ReadResult result = read_bytes(e57_bytes({part_of({e57_position(type), e57_colour()})}));
  CHECK(difference(result.cloud, kPoints, true).empty());
  CHECK(result.format == FileFormat{FileFormat::Kind::e57});
  CHECK(result.frame.metres_per_unit.value() == 1);
}

TEST_CASE("E57 fields stand in any order, among fields that are not needed and of any width") {
  const auto counter = [](std::size_t i) { return static_cast<double>(i); };
  std::vector<E57Column> others = {column("nor:normalX", Type::single, counter),
                                   column("rowIndex", Type::integer, counter, 0, 2047),
                                   column(
                                       "rowConstant", Type::integer, [](std::size_t) { return 7.0; }, 7, 7),
                                   column("timeStamp", Type::integer, counter, INT64_MIN, INT64_MAX)};
  E57Part part = part_of({e57_colour(), others, e57_position(Type::scaled)});
  CHECK(difference(read_bytes(e57_bytes({part})).cloud, kPoints, true).empty());
  std::reverse(part.columns.begin(), part.columns.end());
  CHECK(difference(read_bytes(e57_bytes({part})).cloud, kPoints, true).empty());
}

TEST_CASE("E57 whole numbers are coordinates too") {
  const auto whole = [](std::size_t factor) {
    return [factor](std::size_t i) { return static_cast<double>(i * factor % 1500) - 700; };
  };
  const E57Part part = part_of({{column("cartesianX", Type::integer, whole(1), -700, 799),
                                 column("cartesianY", Type::integer, whole(7), -700, 799),
                                 column("cartesianZ", Type::integer, whole(11), INT64_MIN, INT64_MAX)}});
  const Cloud cloud = read_bytes(e57_bytes({part})).cloud;
  REQUIRE(cloud.size() == kPoints);
  for (std::size_t i = 0; i < kPoints; ++i) {
    CHECK(cloud.at(i) == Eigen::Vector3d(whole(1)(i), whole(7)(i), whole(11)(i)));
  }
}

TEST_CASE("several E57 scans are moved by their poses into one cloud") {
  // A quarter turn about z: x to y, y to -x.
  E57Part turned = part_of({e57_position(Type::single)});
  turned.pose =
      "<pose type=\"Structure\"><rotation type=\"Structure\"><w type=\"Float\">0.70710678118654757</w>"
      "<x type=\"Float\"/><y type=\"Float\"></y><z type=\"Float\">7.0710678118654757e-01</z></rotation>"
      "<translation type=\"Structure\"><x type=\"Float\">612345.125</x><y type=\"Float\">5e6</y>"
      "<z type=\"Float\"/></translation></pose>";
  E57Part plain = part_of({e57_position(Type::real)});
  plain.pose =
      "<pose type=\"Structure\"><translation type=\"Structure\"><x type=\"Float\">612345</x>"
      "<y type=\"Float\">5000000</y></translation></pose>";
  const ReadResult result = read_bytes(e57_bytes({turned, plain}));
  CHECK(result.format.parts == 2);
  REQUIRE(result.cloud.size() == 2 * kPoints);
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    const Eigen::Vector3d first(612'345.125 - p.y, 5e6 + p.x, p.z);
    const Eigen::Vector3d second(612'345 + p.x, 5e6 + p.y, p.z);
    CHECK((result.cloud.at(i) - first).norm() < 1e-5);
    CHECK((result.cloud.at(kPoints + i) - second).norm() < 1e-5);
  }
}

TEST_CASE("spherical E57 coordinates become Cartesian") {
  const auto at = [](std::size_t i) {
    const Point p = sample_point(i);
    return Eigen::Vector3d(p.x, p.y, p.z);
  };
  const E57Part part =
      part_of({{column("sphericalRange", Type::real, [&](std::size_t i) { return at(i).norm(); }),
                column("sphericalAzimuth", Type::real,
                       [&](std::size_t i) { return std::atan2(at(i).y(), at(i).x()); }),
                column("sphericalElevation", Type::real,
                       [&](std::size_t i) { return std::atan2(at(i).z(), at(i).head<2>().norm()); })}});
  CHECK(difference(read_bytes(e57_bytes({part})).cloud, kPoints, false).empty());
}

TEST_CASE("points that E57 marks as invalid are left out") {
  const E57Part part = part_of(
      {e57_position(Type::scaled),
       e57_colour(),
       {column(
           "cartesianInvalidState", Type::integer, [](std::size_t i) { return double(i % 3); }, 0, 2)}});
  const ReadResult result = read_bytes(e57_bytes({part}));
  CHECK(result.points_read == 500);
  CHECK(result.points_skipped == 1000);
  CHECK(result.cloud.colours[1] == sample_point(3).colour);
}

TEST_CASE("E57 colours of any range become bytes") {
  struct Case {
    Type type;
    double factor;
    std::int64_t maximum;
    std::string limits;
  };
  const std::string words =
      "<colorLimits type=\"Structure\"><colorRedMinimum type=\"Integer\"/><colorRedMaximum type=\"Integer\">"
      "65535</colorRedMaximum><colorGreenMinimum type=\"Integer\"/><colorGreenMaximum type=\"Integer\">65535"
      "</colorGreenMaximum><colorBlueMinimum type=\"Integer\"/><colorBlueMaximum type=\"Integer\">65535"
      "</colorBlueMaximum></colorLimits>";
  const auto which =
      GENERATE_COPY(Case{Type::integer, 257, 65535, ""}, Case{Type::integer, 257, 131'071, words},
                    Case{Type::single, 1.0 / 255, 0, ""}, Case{Type::real, 257, 0, words});
  std::vector<E57Column> colour = e57_colour();
  for (std::size_t channel = 0; channel < colour.size(); ++channel) {
    colour[channel].type = which.type;
    colour[channel].maximum = which.maximum;
    colour[channel].value = [=](std::size_t i) { return sample_point(i).colour[channel] * which.factor; };
  }
  E57Part part = part_of({e57_position(Type::single), colour});
  part.colour_limits = which.limits;
  CHECK(difference(read_bytes(e57_bytes({part})).cloud, kPoints, true).empty());
}

TEST_CASE("a scan without colour among others has black points, and an empty one is passed over") {
  E57Part empty = part_of({e57_position(Type::single)});
  empty.records = 0;
  const E57Part plain = part_of({e57_position(Type::single)});
  const E57Part coloured = part_of({e57_position(Type::single), e57_colour()});
  const Cloud cloud = read_bytes(e57_bytes({empty, plain, coloured})).cloud;
  REQUIRE(cloud.colours.size() == 2 * kPoints);
  CHECK(cloud.colours[5] == Colour{0, 0, 0});
  CHECK(cloud.colours[kPoints + 5] == sample_point(5).colour);
  CHECK_THAT(failure_of(e57_bytes({empty})), Contains("holds no points"));
}

TEST_CASE("a damaged E57 page is found by its check sum") {
  std::string bytes = e57_bytes({part_of({e57_position(Type::single)})});
  bytes[5000] = static_cast<char>(bytes[5000] ^ 1);
  CHECK_THAT(failure_of(bytes), Contains("the check sum of its page 5 does not match; copy it again"));
  CHECK(failure_of(with_check_sums(bytes)) == "read");
}

TEST_CASE("an E57 file cut short or with wrong counts is refused") {
  const std::string whole = e57_bytes({part_of({e57_position(Type::single)})});
  CHECK_THAT(failure_of(whole.substr(0, 1000)), Contains("ends inside its E57 header"));
  CHECK_THAT(failure_of(whole.substr(0, whole.size() - 1024)), Contains("the copy was cut short"));
  CHECK_THAT(failure_of(replaced(whole, "recordCount=\"1500\"", "recordCount=\"9500\"")),
             Contains("holds 1,500 of the 9,500 points"));
  CHECK_THAT(failure_of(replaced(whole, "fileOffset=\"48\"", "fileOffset=\"99\"")), Contains("E57"));
  CHECK_THAT(failure_of(replaced(whole, "cartesianX", "cartesianQ")), Contains("neither Cartesian nor"));
  CHECK_THAT(failure_of(replaced(whole, "</e57Root>", "</e57Rooz>")), Contains("no readable XML"));
  CHECK_THAT(failure_of(replaced(whole, "recordCount=\"1500\"", "recordCount=\"1x00\"")),
             Contains("\"1x00\" is no usable number"));
}

TEST_CASE("an E57 file with hostile sizes is refused without asking for the memory") {
  const std::string whole = e57_bytes({part_of({e57_position(Type::single)})});
  const auto patched = [&](std::size_t at, const std::string& what) {
    std::string bytes = whole;
    return with_check_sums(bytes.replace(at, what.size(), what));
  };
  const std::string huge(8, '\x7F');
  CHECK_THAT(failure_of(patched(16, huge)), Contains("the copy was cut short"));
  CHECK_THAT(failure_of(patched(24, huge)), Contains("where nothing can be"));
  CHECK_THAT(failure_of(patched(32, huge)), Contains("larger than the file"));
  CHECK_THAT(failure_of(patched(40, huge)), Contains("is unknown"));
  CHECK(failure_of(patched(48 + 8, huge)) == "read");  // the length of the section: its packets still do
  CHECK_THAT(failure_of(patched(48 + 16, huge)), Contains("where nothing can be"));
  const E57Part constant =
      part_of({{column(
                    "cartesianX", Type::integer, [](std::size_t) { return 7.0; }, 7, 7),
                column(
                    "cartesianY", Type::integer, [](std::size_t) { return 7.0; }, 7, 7),
                column(
                    "cartesianZ", Type::integer, [](std::size_t) { return 7.0; }, 7, 7)}});
  CHECK_THAT(failure_of(e57_bytes({constant})), Contains("lie in one place"));
  CHECK_THAT(failure_of(replaced(e57_bytes({constant}), "recordCount=\"1500\"", "recordCount=\"9999\"")),
             Contains("lie in one place"));
}
