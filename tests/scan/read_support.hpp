#pragma once
/// Scan files made byte by byte for the tests of the readers.

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "scan/model/errors.hpp"
#include "scan/read_scan.hpp"

namespace flitchwise::scan::test {

/// A file in the system's directory for temporary files, removed at the end.
class TemporaryFile {
 public:
  explicit TemporaryFile(std::string_view bytes = {}, const std::string& ending = ".scan");
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  const std::filesystem::path& path() const { return path_; }
  void write(std::string_view bytes) const;

 private:
  std::filesystem::path path_;
};

struct Point {
  double x = 0, y = 0, z = 0;
  Colour colour = {};
};

/// A point on a bent tube, different in every coordinate and colour; exact in float.
Point sample_point(std::size_t i);

/// Bytes of a number, in this order of bytes.
template <typename T>
std::string bytes_of(T value, std::endian order) {
  std::array<char, sizeof(T)> raw = std::bit_cast<std::array<char, sizeof(T)>>(value);
  if (order != std::endian::native) {
    for (std::size_t i = 0; i < sizeof(T) / 2; ++i) {
      std::swap(raw[i], raw[sizeof(T) - 1 - i]);
    }
  }
  return {raw.data(), raw.size()};
}

/// A binary PLY with float x, y, z and uchar colours.
std::string plain_ply(std::size_t points, std::endian order = std::endian::little);
/// The same in ASCII.
std::string ascii_ply(std::size_t points, std::string_view line_end = "\n");

/// Reads these bytes from a file and, which must come to the same, from memory.
ReadResult read_bytes(std::string_view bytes, const ReadOptions& options = {});
/// The text of the InputError that reading these bytes throws; "read" if they can be read.
std::string failure_of(std::string_view bytes, const ReadOptions& options = {});

/// Empty if the cloud holds sample_point(0), sample_point(1), ...; else what is different.
std::string difference(const Cloud& cloud, std::size_t points, bool with_colour);

/// Text of a number with six digits after the point.
std::string fixed(double number);

}  // namespace flitchwise::scan::test
