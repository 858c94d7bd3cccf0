#include <catch2/catch.hpp>

#include "tests/scan/read_support.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;

namespace {

constexpr std::size_t kPoints = 1500;  // more than one batch

/// A PLY with any vertex properties; `record` writes the bytes of one vertex.
template <typename Record>
std::string ply_of(const std::string& format, const std::string& before, const std::string& properties,
                   const std::string& body_before, const Record& record, const std::string& after = {}) {
  std::string bytes = "ply\nformat " + format + " 1.0\n" + before + "element vertex " +
                      std::to_string(kPoints) + "\n" + properties + after + "end_header\n" + body_before;
  for (std::size_t i = 0; i < kPoints; ++i) {
    bytes += record(sample_point(i));
  }
  return bytes;
}

template <typename T>
std::string little(T value) {
  return bytes_of(value, std::endian::little);
}

std::string colour_bytes(const Point& point) {
  return {reinterpret_cast<const char*>(point.colour.data()), point.colour.size()};
}

}  // namespace

TEST_CASE("binary PLY of either byte order gives its points and colours") {
  const auto order = GENERATE(std::endian::little, std::endian::big);
  const ReadResult result = read_bytes(plain_ply(kPoints, order));
  CHECK(difference(result.cloud, kPoints, true).empty());
  CHECK(result.points_read == kPoints);
  CHECK(result.points_skipped == 0);
  CHECK(result.grid == 0);
  CHECK(result.cloud.origin.norm() == 0);
  CHECK(result.format == FileFormat{FileFormat::Kind::ply, order == std::endian::little
                                                               ? FileFormat::Coding::little_endian
                                                               : FileFormat::Coding::big_endian});
}

TEST_CASE("ASCII PLY is read with any line end") {
  const std::string line_end = GENERATE("\n", "\r\n", "\r", " \n");
  const ReadResult result = read_bytes(ascii_ply(kPoints, line_end));
  CHECK(difference(result.cloud, kPoints, true).empty());
  CHECK(result.format == FileFormat{FileFormat::Kind::ply, FileFormat::Coding::ascii});
}

TEST_CASE("a binary PLY header may end its lines with CR LF, or CR") {
  const std::string line_end = GENERATE("\r\n", "\r");
  std::string bytes = plain_ply(kPoints);
  const std::size_t header = bytes.find("end_header\n") + std::string_view("end_header\n").size();
  std::string head = bytes.substr(0, header);
  for (std::size_t at = head.find('\n'); at != std::string::npos;
       at = head.find('\n', at + line_end.size())) {
    head.replace(at, 1, line_end);
  }
  CHECK(difference(read_bytes(head + bytes.substr(header)).cloud, kPoints, true).empty());
}

TEST_CASE("PLY properties come in any order and type, among others") {
  const std::string bytes = ply_of(
      "binary_little_endian", "element camera 2\nproperty double f\nproperty list uchar short k\n",
      "property uchar blue\nproperty double z\nproperty short nx\nproperty double y\nproperty uchar red\n"
      "property uint64 stamp\nproperty double x\nproperty uchar green\nproperty float quality\n",
      little(1.0) + '\x02' + little<std::int16_t>(3) + little<std::int16_t>(4) + little(2.0) + '\0',
      [](const Point& p) {
        return colour_bytes(p).substr(2, 1) + little(p.z) + little<std::int16_t>(-5) + little(p.y) +
               colour_bytes(p).substr(0, 1) + little<std::uint64_t>(7) + little(p.x) +
               colour_bytes(p).substr(1, 1) + little(9.0F);
      },
      "element face 0\nproperty list uchar int vertex_indices\n");
  CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
}

TEST_CASE("PLY coordinates may be whole numbers of any size") {
  const auto in_steps = [](double value) { return static_cast<std::int32_t>(std::lround(value * 64)); };
  const std::string bytes = ply_of(
      "binary_big_endian", "", "property int x\nproperty short y\nproperty int z\n", "", [&](const Point& p) {
        return bytes_of(in_steps(p.x), std::endian::big) +
               bytes_of(static_cast<std::int16_t>(in_steps(p.y)), std::endian::big) +
               bytes_of(in_steps(p.z), std::endian::big);
      });
  Cloud cloud = read_bytes(bytes).cloud;
  for (Eigen::Vector3f& point : cloud.points) {
    point /= 64;
  }
  CHECK(difference(cloud, kPoints, false).empty());
}

TEST_CASE("lists in the PLY vertex element are stepped over") {
  const std::string properties =
      "property float x\nproperty list uchar float seen_by\nproperty float y\nproperty float z\n"
      "property list int uchar tags\nproperty uchar r\nproperty uchar g\nproperty uchar b\n";
  SECTION("binary") {
    const std::string bytes = ply_of("binary_little_endian", "", properties, "", [](const Point& p) {
      const std::size_t seen = p.colour[0] % 4U;
      std::string record = little(static_cast<float>(p.x)) + static_cast<char>(seen);
      for (std::size_t i = 0; i < seen; ++i) {
        record += little(0.5F);
      }
      return record + little(static_cast<float>(p.y)) + little(static_cast<float>(p.z)) +
             little<std::int32_t>(2) + "ab" + colour_bytes(p);
    });
    CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
    const std::string cut = failure_of(bytes.substr(0, bytes.size() - 3));
    CHECK_THAT(cut, Catch::Matchers::Contains("holds 1,499 of the 1,500 points its header promises"));
  }
  SECTION("ASCII") {
    const std::string bytes = ply_of("ascii", "", properties, "", [](const Point& p) {
      return fixed(p.x) + " 2 8 9 " + fixed(p.y) + "\t" + fixed(p.z) + " 0 " + std::to_string(p.colour[0]) +
             " " + std::to_string(p.colour[1]) + " " + std::to_string(p.colour[2]) + "\n";
    });
    CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
  }
}

TEST_CASE("PLY elements before the vertices are stepped over in ASCII") {
  const std::string bytes =
      ply_of("ascii", "element camera 2\nproperty float f\n",
             "property double z\nproperty double y\nproperty double x\n", "0.5\n0.6\n",
             [](const Point& p) { return fixed(p.z) + " " + fixed(p.y) + " " + fixed(p.x) + "\n"; });
  CHECK(difference(read_bytes(bytes).cloud, kPoints, false).empty());
}

TEST_CASE("PLY colours are understood by name, type and range") {
  struct Case {
    std::string type;
    std::array<std::string, 3> names;
    double full;
  };
  const auto which = GENERATE(Case{"float", {"red", "green", "blue"}, 1}, Case{"double", {"r", "g", "b"}, 1},
                              Case{"float", {"Red", "Green", "Blue"}, 255}, Case{"int", {"r", "g", "b"}, 255},
                              Case{"ushort", {"diffuse_red", "diffuse_green", "diffuse_blue"}, 65535});
  std::string properties = "property float x\nproperty float y\nproperty float z\n";
  for (const std::string& name : which.names) {
    properties += "property " + which.type + " " + name + "\n";
  }
  const std::string bytes = ply_of("ascii", "", properties, "", [&](const Point& p) {
    std::string line = fixed(p.x) + " " + fixed(p.y) + " " + fixed(p.z);
    for (const std::uint8_t value : p.colour) {
      const double written = value * which.full / 255;
      line += ' ';
      line += which.full > 1 ? std::to_string(std::lround(written)) : fixed(written);
    }
    return line + "\n";
  });
  CHECK(difference(read_bytes(bytes).cloud, kPoints, true).empty());
}

TEST_CASE("a PLY colour that lacks a channel is left out") {
  const std::string bytes =
      ply_of("ascii", "", "property float x\nproperty float y\nproperty float z\nproperty uchar red\n", "",
             [](const Point& p) { return fixed(p.x) + " " + fixed(p.y) + " " + fixed(p.z) + " 1\n"; });
  CHECK(difference(read_bytes(bytes).cloud, kPoints, false).empty());
}

TEST_CASE("broken PLY headers are named with their line") {
  const auto header = [](const std::string& lines) {
    return failure_of("ply\n" + lines + "end_header\n1 2 3\n");
  };
  const std::string xyz = "property float x\nproperty float y\nproperty float z\n";
  CHECK_THAT(header("element vertex 1\n" + xyz), Catch::Matchers::Contains("no format is named"));
  CHECK_THAT(header("format text 1.0\n"), Catch::Matchers::Contains("line 2: unknown format \"text\""));
  CHECK_THAT(header("format ascii 1.0\nformat ascii 1.0\n"),
             Catch::Matchers::Contains("line 3: a second format"));
  CHECK_THAT(header("format ascii 1.0\nelement vertex -1\n"), Catch::Matchers::Contains("name and a count"));
  CHECK_THAT(header("format ascii 1.0\nelement vertex 99999999999999999999\n"),
             Catch::Matchers::Contains("name and a count"));
  CHECK_THAT(header("format ascii 1.0\nproperty float x\n"),
             Catch::Matchers::Contains("before the first element"));
  CHECK_THAT(header("format ascii 1.0\nelement vertex 1\nproperty half x\n"),
             Catch::Matchers::Contains("unknown number type \"half\""));
  CHECK_THAT(header("format ascii 1.0\nelement vertex 1\nproperty float\n"),
             Catch::Matchers::Contains("without a name"));
  CHECK_THAT(header("format ascii 1.0\nelement face 1\n" + xyz),
             Catch::Matchers::Contains("no element is named"));
  CHECK_THAT(header("format ascii 1.0\nelement vertex 1\nproperty float x\n"),
             Catch::Matchers::Contains("no properties x, y and z"));
  CHECK_THAT(header("format ascii 1.0\nelement vertex 1\n" + xyz + "element vertex 1\n"),
             Catch::Matchers::Contains("two elements"));
  CHECK_THAT(header("format ascii 1.0\nelephant\n"), Catch::Matchers::Contains("unknown word \"elephant\""));
  CHECK_THAT(failure_of("ply\nformat ascii 1.0\nelement ver"),
             Catch::Matchers::Contains("ends inside its PLY header"));
}

TEST_CASE("a PLY that promises more than it holds is refused without taking memory for it") {
  const std::string count = GENERATE("200000", "18446744073709551615");
  const auto order = GENERATE(true, false);
  std::string bytes = order ? plain_ply(kPoints) : ascii_ply(kPoints);
  const std::string declared = "element vertex 1500";
  bytes.replace(bytes.find(declared), declared.size(), "element vertex " + count);
  CHECK_THAT(failure_of(bytes), Catch::Matchers::Contains("holds 1,500 of the ") &&
                                    Catch::Matchers::Contains("the copy was cut short; copy it again"));
}

TEST_CASE("lists of a PLY with mad lengths do not carry the reader away") {
  const std::string xyz = "property float x\nproperty float y\nproperty float z\n";
  const std::string head =
      "ply\nformat binary_little_endian 1.0\nelement face 18446744073709551615\n"
      "property list uint double i\nelement vertex 200\n" +
      xyz + "end_header\n";
  CHECK_THAT(failure_of(head + little<std::uint32_t>(0xFFFFFFFF)),
             Catch::Matchers::Contains("holds 0 of the 200"));
  const std::string negative =
      "ply\nformat binary_little_endian 1.0\nelement vertex 200\nproperty list char int i\n" + xyz +
      "end_header\n";
  CHECK_THAT(failure_of(negative + "\xFF" + std::string(20, '\0')),
             Catch::Matchers::Contains("holds 0 of the 200"));
}
