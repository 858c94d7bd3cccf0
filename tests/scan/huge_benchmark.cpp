// Peak memory and time of reading a huge scan: against the limits of twice the file's size and 2 GiB.
// usage: huge_benchmark [POINTS [FOLDER]]: writes a PLY and a LAS of so many points (100 million without)
// into the folder, one after the other, reads each in a process of its own, and removes it.
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "tests/scan/survey_files.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;

namespace {

/// A log of 5 m on 8 m x 8 m of ground, in the order of a camera that walks along it twice.
Point scene_point(std::size_t i, std::size_t points) {
  constexpr double kGolden = 0.61803398874989485;  // multiples of it fill the unit interval evenly
  const auto share = [&](double step) { return std::fmod(static_cast<double>(i) * step, 1.0); };
  const double along = 5 * std::fmod(2 * static_cast<double>(i) / static_cast<double>(points), 1.0);
  const double turn = 6.28 * share(kGolden);
  const auto byte = static_cast<std::uint8_t>(i % 256);
  if (i % 2 == 0) {
    return {
        along + 0.5 * share(0.7548776662), 0.2 * std::cos(turn), 0.2 + 0.2 * std::sin(turn), {byte, byte, 0}};
  }
  return {along + share(0.5698402910), 8 * share(kGolden) - 4, 0.01 * share(0.3247179572), {0, byte, byte}};
}

template <typename T>
void put(std::string& record, T value) {
  record += bytes_of(value, std::endian::little);
}

std::string ply_record(const Point& p) {
  std::string record;
  for (const double value : {p.x, p.y, p.z}) {
    put(record, static_cast<float>(value));
  }
  for (const std::uint8_t value : p.colour) {
    put(record, value);
  }
  return record;
}

std::string las_record(const Point& p) {
  std::string record;
  for (const double value : {p.x, p.y, p.z}) {
    put(record, static_cast<std::int32_t>(std::lround(value * 1000)));
  }
  record += std::string(8, '\0');
  for (const std::uint8_t value : p.colour) {
    put(record, static_cast<std::uint16_t>(value * 257));
  }
  return record;
}

std::string las_header(std::size_t points) {
  LasFile file;
  file.points = 0;
  file.scale = 0.001;
  std::string header = las_bytes(file);
  constexpr std::size_t kCountAt = 107;
  header.replace(kCountAt, 4, bytes_of(static_cast<std::uint32_t>(points), std::endian::little));
  return header;
}

std::string ply_header(std::size_t points) {
  std::string header = plain_ply(0);
  constexpr std::string_view kCount = "element vertex 0";
  return header.replace(header.find(kCount), kCount.size(), "element vertex " + std::to_string(points));
}

template <typename Record>
void write(const std::filesystem::path& path, const std::string& header, std::size_t points, Record record) {
  constexpr std::size_t kChunk = 1U << 20U;
  std::ofstream out(path, std::ios::binary);
  std::string chunk = header;
  for (std::size_t i = 0; i < points; ++i) {
    chunk += record(scene_point(i, points));
    if (chunk.size() > kChunk) {
      out << chunk;
      chunk.clear();
    }
  }
  out << chunk;
}

void read_and_tell(const std::filesystem::path& path) {
  const auto start = std::chrono::steady_clock::now();
  const ReadResult result = read(path);
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - start;
  std::printf("%s: %zu of %zu points kept, %.1f s\n", path.c_str(), result.cloud.size(),
              static_cast<std::size_t>(result.points_read), seconds.count());
  std::fflush(stdout);
}

/// False if the memory breaks a limit.
bool judge(const std::filesystem::path& path) {
  constexpr long kMostKib = 2L << 20U;  // 2 GiB
  constexpr long kKibi = 1024;
  std::fflush(stdout);  // else the child would print it again
  const pid_t child = fork();
  if (child == 0) {
    read_and_tell(path);
    _exit(0);
  }
  int status = 0;
  rusage usage = {};
  wait4(child, &status, 0, &usage);
  const auto file_kib = static_cast<long>(std::filesystem::file_size(path)) / kKibi;
  const bool good = status == 0 && usage.ru_maxrss < kMostKib && usage.ru_maxrss < 2 * file_kib;
  std::printf("file %ld MiB, peak memory %ld MiB: %s\n", file_kib / kKibi, usage.ru_maxrss / kKibi,
              good ? "within both limits" : "TOO MUCH");
  std::filesystem::remove(path);
  return good;
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t points = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 100'000'000;
  const std::filesystem::path folder =
      argc > 2 ? std::filesystem::path(argv[2]) : std::filesystem::temp_directory_path();
  const std::filesystem::path path = folder / ("flitchwise_huge_" + std::to_string(getpid()));
  write(path, ply_header(points), points, ply_record);
  const bool ply = judge(path);
  write(path, las_header(points), points, las_record);
  const bool las = judge(path);
  return ply && las ? 0 : 1;
}
