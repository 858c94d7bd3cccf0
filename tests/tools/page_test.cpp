#include "tools/report/page.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "scan/model/errors.hpp"
#include "tests/tools/report_fixture.hpp"
#include "tools/report/packed.hpp"
#include "tools/report/plan_json.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::test;
using Json = nlohmann::json;

namespace {

constexpr std::uint64_t kSeed = 4;

/// What the page's program reads.
Json data_of(const std::string& page) {
  const std::string before = "<script type=\"application/json\" id=\"data\">";
  const std::size_t start = page.find(before) + before.size();
  return Json::parse(page.substr(start, page.find("</script>", start) - start));
}

std::string bytes_of(const std::string& text) {
  const std::string letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string bytes;
  unsigned bits = 0;
  int count = 0;
  for (const char letter : text) {
    if (letter == '=') {
      break;
    }
    bits = bits << 6U | static_cast<unsigned>(letters.find(letter));
    count += 6;
    if (count >= 8) {
      count -= 8;
      bytes += static_cast<char>(bits >> static_cast<unsigned>(count) & 255U);
    }
  }
  return bytes;
}

unsigned u16(const std::string& bytes, std::size_t i) {
  return static_cast<unsigned char>(bytes.at(2 * i)) + 256U * static_cast<unsigned char>(bytes.at(2 * i + 1));
}

}  // namespace

TEST_CASE("base64 is that of RFC 4648, section 10") {
  CHECK(base64("").empty());
  CHECK(base64("f") == "Zg==");
  CHECK(base64("fo") == "Zm8=");
  CHECK(base64("foo") == "Zm9v");
  CHECK(base64("foob") == "Zm9vYg==");
  CHECK(base64("fooba") == "Zm9vYmE=");
  CHECK(base64("foobar") == "Zm9vYmFy");
  CHECK(base64(std::string("\xFB\xFF\xFE", 3)) == "+//+");
}

TEST_CASE("lengths are packed low byte first and held to their range") {
  std::string bytes;
  for (const double value : {0.4, 258.0, 65534.6, 1e9, -3.0, std::numeric_limits<double>::quiet_NaN()}) {
    append_u16(bytes, value);
  }
  REQUIRE(bytes.size() == 12);
  CHECK(bytes[2] == 2);
  CHECK(bytes[3] == 1);
  const unsigned expected[] = {0, 258, 65535, 65535, 0, 0};
  for (std::size_t i = 0; i < 6; ++i) {
    CHECK(u16(bytes, i) == expected[i]);
  }
}

TEST_CASE("the page holds plan.json and the same sections") {
  if (!page_available()) {
    WARN("this build has no page");
    return;
  }
  const ReportedLog made = made_by_solver(kSeed);
  const Report report = made.report();
  Json plan = Json::parse(plan_json(report));
  const Json data = data_of(page_html(report));
  const Json stations = plan["log"]["stations"];
  plan["log"].erase("stations");
  CHECK(data["plan"] == plan);

  const std::string tenths = bytes_of(data["sections"]["tenths"]);
  const std::string seen = bytes_of(data["sections"]["seen"]);
  const std::size_t angles = data["sections"]["angles"];
  REQUIRE(tenths.size() == stations.size() * 4 * angles * 2);
  const char* const kNames[] = {"bark_radius_mm", "wood_radius_mm", "bark_sigma_mm", "wood_sigma_mm"};
  for (std::size_t i = 0; i < stations.size(); ++i) {
    CHECK(data["sections"]["x_mm"][i] == stations[i]["x_mm"]);
    CHECK(data["sections"]["centre_mm"][i] == stations[i]["centre_mm"]);
    for (std::size_t kind = 0; kind < 4; ++kind) {
      for (std::size_t k = 0; k < angles; ++k) {
        REQUIRE(u16(tenths, (i * 4 + kind) * angles + k) ==
                std::lround(stations[i][kNames[kind]][k].get<double>() * 10));
      }
    }
    for (std::size_t k = 0; k < angles; ++k) {
      REQUIRE(seen[i * angles + k] == stations[i]["seen"][k].get<int>());
    }
  }
}

TEST_CASE("the page holds the sheet's steps in both units") {
  if (!page_available()) {
    return;
  }
  const ReportedLog made = made_by_solver(kSeed);
  const Json words = data_of(page_html(made.report()))["words"];
  for (const char* unit : {"mm", "in"}) {
    const Json& steps = words[unit]["steps"];
    REQUIRE(steps.size() == 7 + made.sheet.rail_positions.size());
    CHECK(steps[0]["topic"] == "answer");
    CHECK(steps[2]["topic"] == "roll");
    for (const Json& item : steps[2]["items"]) {  // its words stand in the drawing alone
      CHECK((item["kind"] == "drawing") == (item.dump().find("was level") != std::string::npos));
    }
    std::size_t rows = 0;
    for (const Json& step : steps) {
      for (const Json& item : step["items"]) {
        rows += step["topic"] == "rail" && item["kind"] == "table" ? item["rows"].size() : 0;
      }
    }
    CHECK(rows == made.sheet.supports.size());
  }
  CHECK(words["mm"]["steps"][0].dump().find(" mm above the cut") != std::string::npos);
  CHECK(words["in"]["steps"][0].dump().find(" in above the cut") != std::string::npos);
  CHECK(words["in"]["steps"].dump().find(" mm ") == std::string::npos);
}

TEST_CASE("points come back within their step, with their colours") {
  if (!page_available()) {
    return;
  }
  ReportedLog made = made_by_solver(kSeed);
  const Report report = made.report();
  made.points.in_log_m = {{0.1F, -0.2F, 0.3F}, {3.0F, 0.25F, -0.31F}, {1.2345F, 0.001F, 0.02F}};
  made.points.colours = {{1, 2, 3}, {255, 0, 128}, {9, 8, 7}};
  const Json points = data_of(page_html(report))["points"];
  const std::string places = bytes_of(points["places"]);
  const double step = points["step_m"];
  CHECK(step < 0.0001);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double value = points["least_m"][axis].get<double>() + step * u16(places, 3 * i + axis);
      CHECK_THAT(value,
                 Catch::Matchers::WithinAbs(made.points.in_log_m[i][static_cast<Eigen::Index>(axis)], step));
    }
  }
  CHECK(bytes_of(points["colours"]) == std::string("\x01\x02\x03\xFF\x00\x80\x09\x08\x07", 9));
}

TEST_CASE("no name of a file can break out of the page's data") {
  if (!page_available()) {
    return;
  }
  ReportedLog made = made_by_hand();
  const Report report = made.report();
  made.scan.file = "</script><script>alert(1)</script><!--";
  const std::string page = page_html(report);
  CHECK(page.find("<script>alert") == std::string::npos);
  CHECK(data_of(page)["plan"]["scan"]["file"] == report.scan.file);
}

TEST_CASE("ticks belong to one plan") {
  if (!page_available()) {
    return;
  }
  ReportedLog made = made_by_hand();
  const std::string key = data_of(page_html(made.report()))["key"];
  CHECK(key.size() == 16);
  CHECK(data_of(page_html(made.report()))["key"] == key);
  made.sheet.supports[0].left.gap_m += 0.001;
  CHECK(data_of(page_html(made.report()))["key"] != key);
}

TEST_CASE("a look at a log fills the page, too") {
  if (!page_available()) {
    return;
  }
  const ReportedLog made = made_by_hand();
  const Report report = made.report();
  const std::string page = look_page_html(report.scan, made.log, {}, "Length 3.1 m", {scan::TooThin{0.0127}});
  const Json data = data_of(page);
  CHECK(data["kind"] == "look");
  CHECK(data["look"] == "Length 3.1 m");
  CHECK(data["points"].is_null());
  CHECK_THAT(data["words"]["in"]["warnings"][0].get<std::string>(), Catch::Matchers::Contains("1/2 in"));
  LogModel broken = made.log;
  broken.stations.clear();
  CHECK_THROWS_AS(look_page_html(report.scan, broken, {}, "", {}), BadUse);
}
