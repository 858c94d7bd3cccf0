// Damaged files: whatever is cut off or flipped, a file is read or refused, and nothing else happens.
#include <liblzf/lzf.h>

#include <catch2/catch.hpp>
#include <random>

#include "tests/scan/survey_files.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;

namespace {

constexpr std::size_t kPoints = 150;

std::string listed_ply() {
  std::string bytes =
      "ply\nformat binary_big_endian 1.0\nelement camera 2\nproperty list uchar float f\nelement vertex 150\n"
      "property list short int seen\nproperty double x\nproperty float y\nproperty float z\nend_header\n";
  bytes += std::string("\0\1abcd", 6);
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    bytes += bytes_of(std::int16_t{1}, std::endian::big) + "seen" + bytes_of(p.x, std::endian::big) +
             bytes_of(static_cast<float>(p.y), std::endian::big) +
             bytes_of(static_cast<float>(p.z), std::endian::big);
  }
  return bytes;
}

std::string pcd(const std::string& data) {
  std::string bytes =
      "# .PCD v0.7\nVERSION 0.7\nFIELDS x y z rgb\nSIZE 4 4 4 4\nTYPE F F F U\nCOUNT 1 1 1 1\nWIDTH "
      "150\nHEIGHT 1\n"
      "VIEWPOINT 0 0 0 1 0 0 0\nPOINTS 150\nDATA " +
      data + "\n";
  std::string plain;
  for (std::size_t i = 0; i < 4 * kPoints; ++i) {
    plain += bytes_of(static_cast<float>(i % kPoints), std::endian::little);
  }
  if (data == "binary") {
    return bytes + plain;
  }
  if (data == "ascii") {
    for (std::size_t i = 0; i < kPoints; ++i) {
      bytes += fixed(sample_point(i).x) + " " + fixed(sample_point(i).y) + " 0.5 16711680\n";
    }
    return bytes;
  }
  std::string packed(2 * plain.size(), '\0');
  packed.resize(lzf_compress(plain.data(), static_cast<unsigned>(plain.size()), packed.data(),
                             static_cast<unsigned>(packed.size())));
  return bytes + bytes_of(static_cast<std::uint32_t>(packed.size()), std::endian::little) +
         bytes_of(static_cast<std::uint32_t>(plain.size()), std::endian::little) + packed;
}

std::string xyz(const std::string& before, const std::string& separator) {
  std::string text = before;
  for (std::size_t i = 0; i < kPoints; ++i) {
    const Point p = sample_point(i);
    text += fixed(p.x);
    for (const std::string& word :
         {fixed(p.y), fixed(p.z), std::string("12"), std::string("250"), std::string("0")}) {
      text += separator + word;
    }
    text += '\n';
  }
  return text;
}

std::string las(unsigned minor, unsigned format) {
  LasFile file;
  file.minor = minor;
  file.format = format;
  file.points = kPoints;
  return las_bytes(file);
}

std::string e57(E57Column::Type type) {
  E57Part part;
  part.records = kPoints;
  part.columns = e57_position(type);
  const std::vector<E57Column> colour = e57_colour();
  part.columns.insert(part.columns.end(), colour.begin(), colour.end());
  return e57_bytes({part});
}

std::vector<std::string> valid_files() {
  return {plain_ply(kPoints),
          plain_ply(kPoints, std::endian::big),
          ascii_ply(kPoints),
          ascii_ply(kPoints, "\r\n"),
          listed_ply(),
          pcd("binary"),
          pcd("ascii"),
          pcd("binary_compressed"),
          xyz("", " "),
          xyz("\xEF\xBB\xBFx;y;z;r;g;b\n", ";"),
          xyz("150\n", "\t"),
          las(2, 3),
          las(4, 7),
          e57(E57Column::Type::single),
          e57(E57Column::Type::scaled)};
}

/// Reads or is refused: true unless something else comes out, such as a broken cloud.
bool ends_well(const TemporaryFile& file, const std::string& bytes) {
  file.write(bytes);
  try {
    const ReadResult result = read(file.path(), {1000, 1});
    const bool colours_fit =
        result.cloud.colours.empty() || result.cloud.colours.size() == result.cloud.size();
    bool finite = true;
    for (const Eigen::Vector3f& point : result.cloud.points) {
      finite = finite && point.allFinite();
    }
    return colours_fit && finite && !result.cloud.empty() && result.cloud.size() <= result.points_read;
  } catch (const flitchwise::InputError& error) {
    return std::string_view(error.what()).ends_with('.');
  }
}

}  // namespace

TEST_CASE("every valid file of the damage tests is read whole") {
  for (const std::string& bytes : valid_files()) {
    CHECK(read_bytes(bytes).points_read == kPoints);
  }
}

TEST_CASE("a file cut short anywhere is read or refused") {
  constexpr std::size_t kStep = 47;  // no divisor of any record's size
  const TemporaryFile file;
  for (const std::string& bytes : valid_files()) {
    for (std::size_t size = 1; size < bytes.size(); size += kStep) {
      INFO(bytes.substr(0, 40) << " cut to " << size);
      CHECK(ends_well(file, bytes.substr(0, size)));
    }
  }
}

TEST_CASE("a file with flipped bytes is read or refused") {
  const unsigned seed = GENERATE(1U, 2U, 3U);
  CAPTURE(seed);
  constexpr int kDamaged = 60;
  constexpr int kFlips = 4;
  constexpr double kHeaderShare = 0.5;  // half of the flips go where they hurt most
  std::mt19937 random(seed);
  const TemporaryFile file;
  for (const std::string& bytes : valid_files()) {
    for (int i = 0; i < kDamaged; ++i) {
      std::string damaged = bytes;
      for (int flip = 0; flip < kFlips; ++flip) {
        const std::size_t reach = std::bernoulli_distribution(kHeaderShare)(random) ? 250 : damaged.size();
        const std::size_t at = std::uniform_int_distribution<std::size_t>(0, reach - 1)(random);
        damaged[at] = static_cast<char>(std::uniform_int_distribution<int>(0, 255)(random));
      }
      INFO(bytes.substr(0, 40) << " flipped, " << i);
      CHECK(ends_well(file, damaged));
      if (bytes.starts_with("ASTM-E57")) {  // also behind its check sums
        CHECK(ends_well(file, with_check_sums(damaged)));
      }
    }
  }
}
