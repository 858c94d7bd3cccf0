#include <liblzf/lzf.h>
#include <pcl/io/pcd_io.h>
#include <pcl/io/ply_io.h>
#include <pcl/point_types.h>

#include <catch2/catch.hpp>

#include "tests/scan/read_support.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;
using Catch::Matchers::Contains;

namespace {

constexpr std::size_t kPoints = 1500;  // more than one batch

template <typename T>
std::string little(T value) {
  return bytes_of(value, std::endian::little);
}

std::string pcd_header(const std::string& fields, const std::string& data,
                       const std::string& points = "1500") {
  return "# .PCD v0.7 - Point Cloud Data file format\nVERSION 0.7\n" + fields + "WIDTH " + points +
         "\nHEIGHT 1\nVIEWPOINT 0 0 0 1 0 0 0\nPOINTS " + points + "\nDATA " + data + "\n";
}

std::uint32_t packed(const Colour& colour) {
  return std::uint32_t{colour[0]} << 16U | std::uint32_t{colour[1]} << 8U | colour[2];
}

pcl::PointCloud<pcl::PointXYZRGB> pcl_cloud() {
  pcl::PointCloud<pcl::PointXYZRGB> cloud;
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point point = sample_point(i);
    cloud.push_back({static_cast<float>(point.x), static_cast<float>(point.y), static_cast<float>(point.z),
                     point.colour[0], point.colour[1], point.colour[2]});
  }
  return cloud;
}

const std::string kOddFields =
    "FIELDS rgb _ z normal y x\nSIZE 4 1 8 4 4 8\nTYPE U U F F F F\nCOUNT 1 3 1 2 1 1\n";

std::string odd_record(const Point& p) {
  return little(packed(p.colour)) + "pad" + little(p.z) + little(0.1F) + little(0.2F) +
         little(static_cast<float>(p.y)) + little(p.x);
}

/// The odd fields, all values of one field together.
std::string odd_columns() {
  std::array<std::string, 6> columns;
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    columns[0] += little(packed(p.colour));
    columns[1] += "pad";
    columns[2] += little(p.z);
    columns[3] += little(0.1F) + little(0.2F);
    columns[4] += little(static_cast<float>(p.y));
    columns[5] += little(p.x);
  }
  std::string all;
  for (const std::string& column : columns) {
    all += column;
  }
  return all;
}

std::string compressed(const std::string& plain) {
  std::string out(plain.size() * 2, '\0');
  out.resize(lzf_compress(plain.data(), static_cast<unsigned>(plain.size()), out.data(),
                          static_cast<unsigned>(out.size())));
  return little(static_cast<std::uint32_t>(out.size())) + little(static_cast<std::uint32_t>(plain.size())) +
         out;
}

}  // namespace

TEST_CASE("files written by PCL give the same points and colours") {
  const pcl::PointCloud<pcl::PointXYZRGB> cloud = pcl_cloud();
  const TemporaryFile pcd({}, ".pcd");
  const TemporaryFile ply({}, ".ply");
  const std::string name = pcd.path().string();
  pcl::PCDWriter pcd_writer;
  SECTION("pcd ascii") {
    REQUIRE(pcd_writer.writeASCII(name, cloud, 9) == 0);
    const ReadResult result = read(pcd.path());
    CHECK(difference(result.cloud, kPoints, true).empty());
    CHECK(result.format == FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::ascii});
  }
  SECTION("pcd binary") {
    REQUIRE(pcd_writer.writeBinary(name, cloud) == 0);
    const ReadResult result = read(pcd.path());
    CHECK(difference(result.cloud, kPoints, true).empty());
    CHECK(result.format == FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::binary});
  }
  SECTION("PCD, compressed") {
    REQUIRE(pcd_writer.writeBinaryCompressed(name, cloud) == 0);
    const ReadResult result = read(pcd.path());
    CHECK(difference(result.cloud, kPoints, true).empty());
    CHECK(result.format == FileFormat{FileFormat::Kind::pcd, FileFormat::Coding::compressed});
  }
  SECTION("PLY") {
    const bool binary = GENERATE(true, false);
    REQUIRE(pcl::io::savePLYFile(ply.path().string(), cloud, binary) == 0);
    CHECK(difference(read(ply.path()).cloud, kPoints, true).empty());
  }
}

TEST_CASE("PCD fields come in any order and size, among padding and others") {
  SECTION("binary") {
    std::string bytes = pcd_header(kOddFields, "binary");
    for (std::size_t i = 0; i < kPoints; ++i) {
      bytes += odd_record(sample_point(i));
    }
    CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
  }
  SECTION("compressed") {
    const std::string bytes = pcd_header(kOddFields, "binary_compressed") + compressed(odd_columns());
    CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
  }
  SECTION("ASCII, CR LF") {
    std::string bytes = pcd_header(kOddFields, "ascii");
    for (std::size_t i = 0; i < kPoints; ++i) {
      const Point p = sample_point(i);
      bytes += std::to_string(packed(p.colour)) + " 0 0 0 " + fixed(p.z) + " nan nan " + fixed(p.y) + " " +
               fixed(p.x) + "\r\n";
    }
    CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
  }
}

TEST_CASE("an ASCII PCD may write its packed colour as a float") {
  std::string bytes = pcd_header("FIELDS x y z rgb\nSIZE 4 4 4 4\nTYPE F F F F\nCOUNT 1 1 1 1\n", "ascii");
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    std::array<char, 64> text = {};
    std::snprintf(text.data(), text.size(), "%.9g",
                  static_cast<double>(std::bit_cast<float>(packed(p.colour))));
    bytes += fixed(p.x) + " " + fixed(p.y) + " " + fixed(p.z) + " " + text.data() + "\n";
  }
  CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
}

TEST_CASE("an old or organised PCD without COUNT and POINTS is read") {
  std::string bytes =
      "# larch at the bog\nCOLUMNS x y z\nSIZE 8 8 8\nTYPE F F F\nWIDTH 150\nHEIGHT 10\nDATA binary\n";
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    bytes += little(p.x) + little(p.y) + little(p.z);
  }
  CHECK(difference(read_bytes(bytes).cloud, kPoints, false).empty());
}

TEST_CASE("broken PCD headers are named") {
  const std::string xyz = "FIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\n";
  const auto failure = [](const std::string& header) {
    return failure_of("VERSION .7\n" + header + "1 2 3\n");
  };
  CHECK_THAT(failure("WIDTH 1\nDATA ascii\n"), Contains("names no FIELDS"));
  CHECK_THAT(failure("FIELDS x y\nWIDTH 1\nDATA ascii\n"), Contains("no fields x, y and z"));
  CHECK_THAT(failure("FIELDS x y z\nSIZE 4 4\nWIDTH 1\nDATA ascii\n"),
             Contains("SIZE has 2 entries for 3 fields"));
  CHECK_THAT(failure("FIELDS x y z\nSIZE 4 4 3\nWIDTH 1\nDATA ascii\n"),
             Contains("no usable SIZE, TYPE and COUNT"));
  CHECK_THAT(failure("FIELDS x y z\nCOUNT 1 1 -1\nWIDTH 1\nDATA ascii\n"), Contains("no usable SIZE"));
  CHECK_THAT(failure(xyz + "DATA ascii\n"), Contains("neither POINTS nor WIDTH"));
  CHECK_THAT(failure(xyz + "POINTS many\nDATA ascii\n"), Contains("POINTS is no number"));
  CHECK_THAT(failure(xyz + "WIDTH 4\nHEIGHT 2\nPOINTS 9\nDATA ascii\n"), Contains("not WIDTH times HEIGHT"));
  CHECK_THAT(failure(xyz + "WIDTH 9999999999\nHEIGHT 9999999999\nDATA ascii\n"),
             Contains("not WIDTH times HEIGHT"));
  CHECK_THAT(failure(xyz + "WIDTH 4\nDATA zipped\n"), Contains("unknown kind of DATA \"zipped\""));
  CHECK_THAT(failure_of("VERSION .7\nFIELDS x y z\nSIZ"), Contains("ends inside its PCD header"));
}

TEST_CASE("a PCD that holds less than it promises is refused without taking memory for it") {
  const std::string xyz = "FIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\n";
  const std::string many = "4000000000000";
  CHECK_THAT(failure_of(pcd_header(xyz, "binary", many) + std::string(120, 'a')),
             Contains("holds 10 of the 4,000,000,000,000 points"));
  CHECK_THAT(failure_of(pcd_header(xyz, "ascii", many) + "1 2 3\n4 5 6\n7 8"),
             Contains("holds 2 of the 4,000,000,000,000 points"));
  const std::string whole = pcd_header(kOddFields, "binary_compressed") + compressed(odd_columns());
  CHECK_THAT(failure_of(whole.substr(0, whole.size() - 9)), Contains("the copy was cut short"));
  CHECK_THAT(failure_of(pcd_header(xyz, "binary_compressed", "300000000") + little(8U) +
                        little(3'600'000'000U) + "12345678"),
             Contains("sizes contradict its header"));
  CHECK_THAT(failure_of(pcd_header(xyz, "binary_compressed", "2") + little(8U) + little(24U) +
                        "\xFF\xFF\xFF\xFFxxxx"),
             Contains("data is damaged"));
}
