#include "tests/scan/read_support.hpp"

#include <unistd.h>

#include <atomic>
#include <fstream>
#include <memory>
#include <stdexcept>
#include <utility>

namespace flitchwise::scan::test {
namespace {

constexpr double kTolerance = 2e-6;  // six digits after the point

std::string ply_header(std::string_view format, std::size_t points, std::string_view line_end) {
  const std::vector<std::string> lines = {"ply",
                                          "format " + std::string(format) + " 1.0",
                                          "comment larch from the windthrow above the bog",
                                          "obj_info second walk",
                                          "element vertex " + std::to_string(points),
                                          "property float x",
                                          "property float y",
                                          "property float z",
                                          "property uchar red",
                                          "property uchar green",
                                          "property uchar blue",
                                          "end_header"};
  std::string header;
  for (const std::string& line : lines) {
    header += line + std::string(line_end);
  }
  return header;
}

}  // namespace

TemporaryFile::TemporaryFile(std::string_view bytes, const std::string& ending) {
  static std::atomic<unsigned> count = 0;
  path_ = std::filesystem::temp_directory_path() /
          ("flitchwise_read_" + std::to_string(::getpid()) + "_" + std::to_string(count++) + ending);
  write(bytes);
}

TemporaryFile::~TemporaryFile() {
  std::error_code ignored;
  std::filesystem::remove(path_, ignored);
}

void TemporaryFile::write(std::string_view bytes) const {
  std::ofstream out(path_, std::ios::binary);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

Point sample_point(std::size_t i) {
  constexpr double kStep = 1.0 / 64;  // a power of two: exact in float and in six digits
  const auto k = static_cast<double>(i);
  const auto byte = [&](std::size_t factor) { return static_cast<std::uint8_t>(i * factor % 256); };
  return {k * kStep,
          std::round(20 * std::sin(0.1 * k)) * kStep,
          std::round(20 * std::cos(0.1 * k)) * kStep - 1,
          {byte(1), byte(3), byte(7)}};
}

std::string plain_ply(std::size_t points, std::endian order) {
  std::string bytes =
      ply_header(order == std::endian::little ? "binary_little_endian" : "binary_big_endian", points, "\n");
  for (std::size_t i = 0; i < points; ++i) {
    const Point point = sample_point(i);
    for (const double value : {point.x, point.y, point.z}) {
      bytes += bytes_of(static_cast<float>(value), order);
    }
    for (const std::uint8_t value : point.colour) {
      bytes += static_cast<char>(value);
    }
  }
  return bytes;
}

std::string ascii_ply(std::size_t points, std::string_view line_end) {
  std::string bytes = ply_header("ascii", points, line_end);
  for (std::size_t i = 0; i < points; ++i) {
    const Point point = sample_point(i);
    bytes += fixed(point.x) + ' ' + fixed(point.y) + ' ' + fixed(point.z);
    for (const std::uint8_t value : point.colour) {
      bytes += ' ' + std::to_string(value);
    }
    bytes += line_end;
  }
  return bytes;
}

ReadResult read_bytes(std::string_view bytes, const ReadOptions& options) {
  const TemporaryFile file(bytes);
  const ScanFile in_memory{file.path(), std::make_shared<std::string>(bytes)};
  std::string failure_in_memory;
  ReadResult of_memory;
  try {
    of_memory = read(in_memory, options);
  } catch (const InputError& error) {
    failure_in_memory = error.what();
  }
  try {
    ReadResult of_file = read(file.path(), options);
    if (!failure_in_memory.empty() || of_file.cloud.points != of_memory.cloud.points ||
        of_file.cloud.colours != of_memory.cloud.colours || of_file.format != of_memory.format) {
      throw std::logic_error("the file's bytes are read otherwise in memory: " + failure_in_memory);
    }
    return of_file;
  } catch (const InputError& error) {
    if (failure_in_memory != error.what()) {
      throw std::logic_error("in memory: " + failure_in_memory + " From the file: " + error.what());
    }
    throw;
  }
}

std::string failure_of(std::string_view bytes, const ReadOptions& options) {
  try {
    read_bytes(bytes, options);
  } catch (const InputError& error) {
    return error.what();
  }
  return "read";
}

std::string difference(const Cloud& cloud, std::size_t points, bool with_colour) {
  if (cloud.size() != points || cloud.colours.size() != (with_colour ? points : 0)) {
    return std::to_string(cloud.size()) + " points and " + std::to_string(cloud.colours.size()) + " colours";
  }
  for (std::size_t i = 0; i < points; ++i) {
    const Point wanted = sample_point(i);
    const Eigen::Vector3d found = cloud.at(i);
    if (!((found - Eigen::Vector3d(wanted.x, wanted.y, wanted.z)).norm() <= kTolerance)) {
      return "point " + std::to_string(i);
    }
    if (with_colour && cloud.colours[i] != wanted.colour) {
      return "colour " + std::to_string(i);
    }
  }
  return {};
}

std::string fixed(double number) {
  return std::to_string(number);
}

}  // namespace flitchwise::scan::test
