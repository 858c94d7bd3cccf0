/// Table of the fit's errors against the truth of simulated scans: fit_accuracy photo|depth FIRST_SEED COUNT.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "flitchwise/scan/fit.hpp"
#include "flitchwise/scan/isolate.hpp"
#include "flitchwise/scan/orient.hpp"
#include "support/against_truth.hpp"

namespace {

using namespace flitchwise;

void one(const simulate::Scanner& scanner, std::uint64_t seed) {
  simulate::SceneWishes scene;
  const auto simulation = simulate::simulate_random(seed, scanner, {}, scene);
  const auto start = std::chrono::steady_clock::now();
  const auto oriented = scan::orient(testing::cloud_of(simulation.scan));
  const auto mid = std::chrono::steady_clock::now();
  const auto log_cloud = scan::isolate(oriented.cloud, oriented.ground);
  const auto isolated = std::chrono::steady_clock::now();
  if (log_cloud.status != scan::LogCloud::Status::ok) {
    std::printf("%4llu isolate: %s\n", static_cast<unsigned long long>(seed), log_cloud.message.c_str());
    return;
  }
  scan::FitOptions options;
  options.bark_m = simulation.truth.bark_m;
  const auto fitted = scan::fit(log_cloud, options);
  const auto end = std::chrono::steady_clock::now();
  if (fitted.status != scan::FitResult::Status::ok) {
    std::printf("%4llu fit: %s\n", static_cast<unsigned long long>(seed), fitted.message.c_str());
    return;
  }
  const auto e = testing::against_truth(fitted.log, simulation.truth);
  const auto ms = [](auto a, auto b) { return std::chrono::duration<double, std::milli>(b - a).count(); };
  std::printf("%4llu %5.2f %4.0f | %6.1f %6.1f %5.1f |", static_cast<unsigned long long>(seed),
              simulation.truth.length_m, 1e3 * simulation.truth.bark_diameter_m(0), 1e3 * e.length_m,
              1e3 * e.usable_length_m, 1e3 * e.centreline_rms_m);
  for (const auto& r : {e.seen_bark, e.unseen_bark, e.seen_wood, e.unseen_wood}) {
    std::printf(" %5.2f %5.2f %3.0f%% |", 1e3 * r.rms_m, 1e3 * r.mean_m, 100 * r.within_two_sigma);
  }
  double wood_sigma = 0;
  for (const auto& s : fitted.log.stations)
    wood_sigma += s.wood_sigma_m.mean() / static_cast<double>(fitted.log.stations.size());
  std::printf(" res %.1f ws %.1f knots %zu/%zu | %zu pts orient %.0f isolate %.0f fit %.0f ms %s\n",
              1e3 * fitted.log.residual_m, 1e3 * wood_sigma, fitted.log.knots.size(),
              simulation.truth.bumps.size(), log_cloud.surface_m.size(), ms(start, mid), ms(mid, isolated),
              ms(isolated, end), fitted.log.find_error().c_str());
}

}  // namespace

int main(int argc, char** argv) {
  const bool depth = argc > 1 && std::string(argv[1]) == "depth";
  const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  const std::uint64_t count = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 5;
  std::printf(
      "seed length dia | length usable centre | seen bark rms mean in2s | unseen bark | seen wood | unseen "
      "wood\n");
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    one(depth ? simulate::depth_scanner() : simulate::photo_scanner(), seed);
    std::fflush(stdout);
  }
}
