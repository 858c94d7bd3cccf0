// The LAS files are made in survey_files.cpp from the specification. Debian has no light LAS library; by
// hand, an independent reader (copc 0.0.8 from npm) found the same points and colours in formats 2 and 7.
#include <catch2/catch.hpp>

#include "tests/scan/survey_files.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

constexpr std::size_t kPoints = 1500;  // more than one batch

bool has_colour(unsigned format) {
  return format == 2 || format == 3 || format == 5 || format == 7 || format == 8;
}

std::string patched(const LasFile& file, std::size_t at, const std::string& what) {
  std::string bytes = las_bytes(file);
  bytes.replace(at, what.size(), what);
  return bytes;
}

}  // namespace

TEST_CASE("LAS is read in every version and point format, with records before and bytes behind each point") {
  const unsigned minor = GENERATE(0U, 1U, 2U, 3U, 4U);
  const unsigned format = GENERATE(0U, 1U, 2U, 3U, 4U, 5U, 6U, 7U, 8U);
  LasFile file;
  file.minor = minor;
  file.format = format;
  file.extra_bytes = GENERATE(0U, 7U);
  file.records_before = GENERATE(0U, 2U, 5001U);
  CAPTURE(minor, format, file.extra_bytes, file.records_before);
  const ReadResult result = read_bytes(las_bytes(file));
  CHECK(difference(result.cloud, kPoints, has_colour(format)).empty());
  CHECK(result.format ==
        FileFormat{FileFormat::Kind::las, FileFormat::Coding::plain, "1." + std::to_string(minor)});
}

TEST_CASE("LAS colours of 8 bits in 16 are known by their size") {
  LasFile file;
  file.colour_factor = GENERATE(1U, 257U);
  CHECK(difference(read_bytes(las_bytes(file)).cloud, kPoints, true).empty());
}

TEST_CASE("LAS map coordinates keep their millimetres") {
  LasFile file;
  file.scale = 0.001;
  file.corner = {612'345.678, 5'312'345.678, 1'834.567};
  file.offset = {612'000, 5'312'000, 0};
  const Cloud cloud = read_bytes(las_bytes(file)).cloud;
  REQUIRE(cloud.size() == kPoints);
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point sample = sample_point(i);
    const Eigen::Vector3d wanted = Eigen::Vector3d(sample.x, sample.y, sample.z) + file.corner;
    CHECK((cloud.at(i) - wanted).cwiseAbs().maxCoeff() <
          0.0005 + 1e-5);  // half a step of the file, and float
  }
}

TEST_CASE("points that LAS marks as withheld are left out") {
  LasFile file;
  file.minor = 4;
  file.format = GENERATE(2U, 7U);
  file.withheld_every = 3;
  const ReadResult result = read_bytes(las_bytes(file));
  CHECK(result.points_read == 1000);
  CHECK(result.points_skipped == 500);
}

TEST_CASE("LAS 1.4 counts its points in either field") {
  LasFile file;
  file.minor = 4;
  file.format = 7;
  file.fill_legacy_count = GENERATE(true, false);
  file.fill_long_count = !file.fill_legacy_count;
  CHECK(difference(read_bytes(las_bytes(file)).cloud, kPoints, true).empty());
}

TEST_CASE("LAS of fewer points than promised is refused, whatever the promise") {
  LasFile file;
  file.minor = 4;
  file.format = 7;
  const std::string whole = las_bytes(file);
  CHECK_THAT(failure_of(whole.substr(0, whole.size() - 1)),
             Contains("holds 1,499 of the 1,500 points its header promises: the copy was cut short"));
  CHECK_THAT(failure_of(whole.substr(0, 200)), Contains("ends inside its LAS header"));
  CHECK_THAT(failure_of(patched(file, 247, std::string(8, '\xFF'))),
             Contains("holds 1,500 of the 18,446,744,073,709,551,615 points"));
  CHECK_THAT(failure_of(patched(file, 96, std::string(4, '\xFF'))), Contains("holds 0 of the 1,500 points"));
  file.minor = 2;
  CHECK_THAT(failure_of(patched(file, 107, std::string(4, '\xFF'))), Contains("of the 4,294,967,295 points"));
}

TEST_CASE("trouble in a LAS header is named") {
  const LasFile file;
  CHECK_THAT(failure_of(patched(file, 131, std::string(8, '\0'))), Contains("scale or offset"));
  CHECK_THAT(failure_of(patched(file, 155, std::string(8, '\xFF'))), Contains("scale or offset"));
  CHECK_THAT(failure_of(patched(file, 105, std::string("\x05\0", 2))), Contains("cannot have 5 bytes"));
  CHECK_THAT(failure_of(patched(file, 96, std::string("\x05\0\0\0", 4))), Contains("begin inside it"));
  CHECK_THAT(failure_of(patched(file, 104, "\x0B")), Contains("point format 11, which is not read"));
  CHECK_THAT(failure_of(patched(file, 24, "\x02")), Contains("is LAS 2.2"));
}

TEST_CASE("LAZ is refused with a free way to convert it, whatever the file's name") {
  const LasFile file;
  for (const char* format : {"\x80", "\x82", "\xC3"}) {
    CHECK_THAT(failure_of(patched(file, 104, format)),
               Contains("is a compressed LAZ scan") && Contains("CloudCompare") && Contains("PDAL"));
  }
}
