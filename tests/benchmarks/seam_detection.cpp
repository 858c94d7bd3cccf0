/// How often seams are found, and false alarms: seam_detection photo|depth FIRST_SEED COUNT
/// clean|doubled|local|step|cluttered [SIZE_MM].

#include <cstdio>
#include <cstdlib>
#include <string>

#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "scan/fit/seams.hpp"
#include "tests/support/against_truth.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/simulate/seams.hpp"

using namespace flitchwise;

int main(int argc, char** argv) {
  const bool depth = argc > 1 && std::string(argv[1]) == "depth";
  const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  const std::uint64_t count = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 5;
  const std::string what = argc > 4 ? argv[4] : "clean";
  const double size_m = argc > 5 ? std::atof(argv[5]) / 1000 : 0.03;
  const simulate::Scanner scanner = depth ? simulate::depth_scanner() : simulate::photo_scanner();
  int scans = 0;
  int told = 0;
  int refused = 0;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const auto shape = simulate::random_log(seed);
    simulate::SceneWishes wishes;
    wishes.heavy_clutter = what == "cluttered";
    const auto site = simulate::build_site(shape, simulate::random_scene(seed, shape.length_m, wishes));
    auto points = simulate::take_scan(site, simulate::with_random_walk(scanner, seed), seed);
    simulate::SeamError error;
    error.theta_rad = 0.1 + 0.29 * static_cast<double>(seed % 11);
    error.doubled_m = what == "doubled" || what == "local" ? size_m : 0;
    error.doubled_end = what == "local" ? 0.3 : 1;
    error.step_m = what == "step" ? size_m : 0;
    simulate::add_seam(points, site, error, seed);
    const auto oriented = scan::orient(testing::cloud_of(points));
    const auto log = scan::isolate(oriented.cloud, oriented.ground);
    if (log.status != scan::LogCloud::Status::ok) {
      std::printf("%llu %s\n", static_cast<unsigned long long>(seed),
                  report::words(log.message.value(), report::Units::millimetres).c_str());
      continue;
    }
    const auto fitted = scan::fit(log);
    if (fitted.status != scan::FitResult::Status::ok) {
      std::printf("%llu %s\n", static_cast<unsigned long long>(seed),
                  report::words(fitted.message.value(), report::Units::millimetres).c_str());
      continue;
    }
    const auto seams = scan::find_seams(log, fitted.log);
    ++scans;
    told += seams.empty() ? 0 : 1;
    refused += !seams.empty() && scan::spoils_the_scan(seams.front()) ? 1 : 0;
    std::printf("%llu true theta %.2f length %.2f residual %.1f mm\n", static_cast<unsigned long long>(seed),
                error.theta_rad, shape.length_m, 1e3 * fitted.log.residual_m);
    for (const auto& seam : seams) {
      std::printf("    %s (arc %.2f) %s\n",
                  report::words(scan::ScanFact(seam), report::Units::millimetres).c_str(), seam.arc_rad,
                  scan::spoils_the_scan(seam) ? "SPOILS" : "");
    }
    std::fflush(stdout);
  }
  std::printf("%d scans, told of %d, refused %d\n", scans, told, refused);
}
