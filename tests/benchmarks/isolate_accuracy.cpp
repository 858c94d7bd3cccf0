/// Table of how well the log is found in heavy clutter: isolate_accuracy photo|depth FIRST_SEED COUNT
/// [plain].

#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "scan/find/isolate.hpp"
#include "scan/find/orient.hpp"
#include "tests/support/against_truth.hpp"
#include "tests/support/isolate_errors.hpp"
#include "tools/report/scan_words.hpp"

namespace {

using namespace flitchwise;

void dump(const char* path, const simulate::Simulation& made, const scan::LogCloud& log) {
  std::ofstream file(path);
  for (std::size_t i = 0; i < made.scan.points_m.size(); i += 3) {
    file << made.truth.to_log(made.scan.points_m[i]).transpose() << ' '
         << static_cast<int>(made.scan.labels[i]) << '\n';
  }
  for (const auto& p : log.surface_m) {
    file << made.truth.to_log(p).transpose() << " 20\n";
  }
  for (const auto& t : log.track) {
    file << made.truth.to_log(t.centre_m).transpose() << " 21\n";
  }
}

}  // namespace

int main(int argc, char** argv) {
  const bool depth = argc > 1 && std::string(argv[1]) == "depth";
  const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  const std::uint64_t count = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 5;
  simulate::Scanner scanner = depth ? simulate::depth_scanner() : simulate::photo_scanner();
  scanner.floater_share = 0.02;
  simulate::SceneWishes scene;
  scene.heavy_clutter = argc <= 4;
  std::printf("seed ok | length | end errors [mm] | foreign %%  near foreign %% | kept %% | foreign kinds\n");
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const auto made = simulate::simulate_random(seed, scanner, {}, scene);
    const auto oriented = scan::orient(testing::cloud_of(made.scan));
    const auto start = std::chrono::steady_clock::now();
    const auto log = scan::isolate(oriented.cloud, oriented.ground);
    const double ms =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
    const auto e = testing::isolate_errors(oriented.cloud, log, made);
    std::printf(
        "%4llu %d%s | %7.1f | %6.1f %6.1f | %5.2f %5.2f | %5.1f | b%.1f g%.1f gr%.1f n%.1f s%.1f f%.1f c%.1f "
        "| %.2f m %.0f ms %s\n",
        static_cast<unsigned long long>(seed), log.status == scan::LogCloud::Status::ok,
        e.right_log ? "" : " WRONG", 1e3 * e.length_m, 1e3 * e.small_end_m, 1e3 * e.large_end_m,
        100 * e.foreign_share, 100 * e.far_share, 100 * e.kept_share, 100 * e.kinds[4], 100 * e.kinds[2],
        100 * e.kinds[3], 100 * e.kinds[5], 100 * e.kinds[6], 100 * e.kinds[7], 100 * e.kinds[8],
        made.truth.length_m, ms,
        (report::words(oriented.up_source) + " " +
         (log.message            ? report::words(*log.message, report::Units::millimetres)
          : log.warnings.empty() ? ""
                                 : report::words(log.warnings.front(), report::Units::millimetres)))
            .c_str());
    std::fflush(stdout);
    if (const char* path = std::getenv("DUMP")) {
      dump(path, made, log);
    }
  }
}
