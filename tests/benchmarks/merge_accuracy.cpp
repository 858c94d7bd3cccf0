/// How well two scans of one simulated log are laid onto each other, and whether scans of two logs of the
/// same size are refused. Usage: merge_accuracy FIRST_SEED LAST_SEED

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>

#include "scan/merge/merge.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/simulate/simulate.hpp"

namespace {

using namespace flitchwise;

using Keeps = std::function<bool(double along, double side_m)>;

const Eigen::Isometry3d kMotion =
    Eigen::Translation3d(3.1, -1.7, 0.4) * Eigen::AngleAxisd(2.2, Eigen::Vector3d::UnitZ());

/// Half a log is less well seen than a whole neighbour, which would then be taken for the log.
simulate::SceneWishes wishes_of_scene() {
  simulate::SceneWishes wishes;
  wishes.neighbours = 0;
  return wishes;
}

simulate::Site site_of(std::uint64_t seed, std::uint64_t scene_seed) {
  simulate::LogWishes wishes;
  wishes.length_m = 3.2;
  wishes.small_end_diameter_m = 0.28;
  wishes.large_end_diameter_m = 0.31;
  return simulate::build_site(simulate::random_log(seed, wishes),
                              simulate::random_scene(scene_seed, 3.2, wishes_of_scene()));
}

scan::Cloud part_of(const simulate::Site& site, const simulate::Scanner& scanner, std::uint64_t seed,
                    const Keeps& keeps, const Eigen::Isometry3d& motion) {
  scan::Cloud cloud;
  for (const Eigen::Vector3d& p : simulate::take_scan(site, scanner, seed).points_m) {
    const Eigen::Vector3d in_shape = site.log.to_shape(p);
    if (keeps(in_shape.x() / site.log.surface.shape().length_m, in_shape.y())) {
      cloud.points.emplace_back((motion * p).cast<float>());
    }
  }
  return cloud;
}

/// How far the recovered motion lays the log's corners from where they belong.
double error_m(const simulate::Site& site, const scan::MergeResult& result) {
  double worst = 0;
  const Eigen::Isometry3d left = result.alignments[1].first_from_this * kMotion;
  for (const double along_m : {0.0, site.log.surface.shape().length_m}) {
    for (const double side_m : {-0.15, 0.15}) {
      const Eigen::Vector3d p = site.log.to_scan({along_m, side_m, 0});
      worst = std::max(worst, (left * p - p).norm());
    }
  }
  return worst;
}

void report(const char* what, const char* scanner, std::uint64_t seed, const simulate::Site& site,
            const std::vector<scan::Cloud>& clouds) {
  const std::clock_t start = std::clock();
  const scan::MergeResult result = scan::merge(clouds);
  const double seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
  std::printf("%-10s %-6s seed %3llu %8zu points %5.1f s  ", what, scanner,
              static_cast<unsigned long long>(seed), clouds[0].size() + clouds[1].size(), seconds);
  if (result.status == scan::MergeResult::Status::ok) {
    const scan::Alignment& a = result.alignments[1];
    std::printf("off by %.1f mm, overlap %.2f same %.2f residual %.1f mm\n", error_m(site, result) * 1000,
                a.overlap_share, a.same_share, a.residual_m * 1000);
  } else {
    std::printf("refused: %.90s\n",
                report::words(result.message.value(), report::Units::millimetres).c_str());
  }
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t first = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1;
  const std::uint64_t last = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : first + 2;
  const Keeps all = [](double, double) { return true; };
  for (std::uint64_t seed = first; seed <= last; ++seed) {
    const simulate::Site site = site_of(seed, seed);
    const simulate::Site other = site_of(seed + 1000, seed + 1000);
    for (const bool photo : {true, false}) {
      const char* name = photo ? "photo" : "depth";
      const simulate::Scanner scanner = photo ? simulate::photo_scanner() : simulate::depth_scanner();
      const auto part = [&](const Keeps& keeps, int scan) {
        return part_of(site, scanner, 2 * seed + static_cast<std::uint64_t>(scan), keeps,
                       scan == 0 ? Eigen::Isometry3d::Identity() : kMotion);
      };
      report("whole", name, seed, site, {part(all, 0), part(all, 1)});
      report("sides", name, seed, site,
             {part([](double, double side_m) { return side_m > -0.08; }, 0),
              part([](double, double side_m) { return side_m < 0.08; }, 1)});
      report("ends", name, seed, site,
             {part([](double along, double) { return along < 0.7; }, 0),
              part([](double along, double) { return along > 0.3; }, 1)});
      report("two logs", name, seed, site, {part(all, 0), part_of(other, scanner, seed + 7, all, kMotion)});
    }
  }
  return 0;
}
