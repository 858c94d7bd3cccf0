// Time and memory of reading against PCL's own loader, on a PLY of 5 million coloured points.
// usage: read_benchmark [POINTS [ours|pcl|xyz]]
#include <pcl/io/ply_io.h>
#include <pcl/point_types.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <random>
#include <string>
#include <string_view>

#include "tests/scan/read_support.hpp"

using namespace flitchwise::scan;
using namespace flitchwise::scan::test;

namespace {

double best_seconds(const std::function<std::size_t()>& load) {
  constexpr int kRepeats = 5;
  double best = 1e9;
  for (int i = 0; i < kRepeats; ++i) {
    const auto start = std::chrono::steady_clock::now();
    if (load() == 0) {
      std::fputs("nothing was read\n", stderr);
      std::exit(1);
    }
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  return best;
}

/// A log of 5 m on 8 m x 8 m of ground, in the order of a camera that walks along it.
Point scene_point(std::size_t i, std::size_t points, std::mt19937& random) {
  std::uniform_real_distribution<double> unit(0, 1);
  const double along = 5 * (static_cast<double>(i) / static_cast<double>(points) + 0.1 * unit(random));
  const double turn = 6.28 * unit(random);
  const auto byte = static_cast<std::uint8_t>(i % 256);
  if (unit(random) < 0.5) {
    return {along, 0.2 * std::cos(turn), 0.2 + 0.2 * std::sin(turn), {byte, byte, 0}};
  }
  return {along + unit(random), 8 * unit(random) - 4, 0.01 * unit(random), {0, byte, byte}};
}

std::string scene(std::size_t points, bool text) {
  std::mt19937 random(1);
  std::string bytes = text ? "" : plain_ply(points);
  const std::size_t header = bytes.find("end_header\n") + 11;
  std::size_t at = text ? 0 : header;
  for (std::size_t i = 0; i < points; ++i) {
    const Point p = scene_point(i, points, random);
    std::string record;
    for (const double value : {p.x, p.y, p.z}) {
      record += text ? fixed(value) + ' ' : bytes_of(static_cast<float>(value), std::endian::little);
    }
    for (const std::uint8_t value : p.colour) {
      record += text ? std::to_string(value) + ' ' : std::string(1, static_cast<char>(value));
    }
    if (text) {
      bytes += record + '\n';
    } else {
      bytes.replace(at, record.size(), record);
      at += record.size();
    }
  }
  return bytes;
}

long peak_kib() {
  rusage usage = {};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t points = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 5'000'000;
  const std::string_view only = argc > 2 ? argv[2] : "";
  const auto wanted = [&](std::string_view which) { return only.empty() || only == which; };
  const TemporaryFile file({}, only == "xyz" ? ".xyz" : ".ply");
  file.write(scene(points, only == "xyz"));
  std::printf("%zu points, %.1f MB\n", points,
              static_cast<double>(std::filesystem::file_size(file.path())) / 1e6);
  double ours = 0;
  if (wanted("ours") || only == "xyz") {
    for (const std::size_t most : {std::size_t{4'000'000}, points}) {
      std::size_t kept = 0;
      ours = best_seconds([&] {
        return kept = read(file.path(), {std::max<std::size_t>(most, 1000), 100}).cloud.size();
      });
      std::printf("read, at most %zu points: %.3f s, %zu kept\n", most, ours, kept);
    }
  }
  if (wanted("pcl")) {
    const double theirs = best_seconds([&] {
      pcl::PointCloud<pcl::PointXYZRGB> cloud;
      return pcl::io::loadPLYFile(file.path().string(), cloud) == 0 ? cloud.size() : 0;
    });
    std::printf("pcl::io::loadPLYFile: %.3f s", theirs);
    std::printf(ours > 0 ? ", %.1f times as long\n" : "\n", theirs / ours);
  }
  std::printf("peak memory %ld MiB (the file's bytes were made in the same program)\n", peak_kib() / 1024);
}
