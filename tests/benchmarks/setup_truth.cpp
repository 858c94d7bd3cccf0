/// Table of setup sheets on simulated scans, judged by the truth, with both sample kits: setup_truth
/// FIRST_SEED COUNT TxWxL. The figures of solver/SETUP.md come from it.

#include "tests/support/setup_truth.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "solver/plan/board_size.hpp"

namespace {

/// Errors of one kind over all sheets, printed in mm unless its name says otherwise.
struct Pool {
  const char* name;
  std::vector<double> errors;
  double scale = 1e3;  ///< as printed: metres in mm
  void add(const std::vector<double>& more) { errors.insert(errors.end(), more.begin(), more.end()); }
  void print() {
    for (double& error : errors) error = std::abs(error);
    std::sort(errors.begin(), errors.end());
    const auto n = errors.size();
    if (n > 0) {
      std::printf("%-14s median %5.2f  95 %% %6.2f  worst %6.2f of %zu\n", name, scale * errors[n / 2],
                  scale * errors[n * 95 / 100], scale * errors.back(), n);
    }
  }
};

}  // namespace

int main(int argc, char** argv) {
  using namespace flitchwise;
  constexpr std::uint64_t kNodes = 1500;  // the sheet is judged here, not the proof
  const std::uint64_t first = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 701;
  const std::uint64_t count = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 30;
  const solver::Target target = solver::board_size(argc > 3 ? argv[3] : "40x120x2400");
  const auto pattern =
      argc > 4 && std::string(argv[4]) == "cant" ? solver::Pattern::cant : solver::Pattern::live;
  const std::filesystem::path samples(FLITCHWISE_SAMPLES);
  Pool pools[] = {{"gaps seen", {}}, {"gaps unseen", {}},  {"heights", {}},      {"half widths", {}},
                  {"diagonals", {}}, {"cut widths", {}},   {"edging lines", {}}, {"bark walk", {}},
                  {"cant gaps", {}}, {"pieces, kg", {}, 1}};
  int sheets = 0, boards = 0, whole = 0, fallen = 0, taped = 0, taped_fallen = 0, contacts = 0, in_cut = 0,
      near_cut = 0, beyond = 0, extra = 0;
  double volume = 0;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    try {
      for (const auto& e : testing::judge_setups(seed, {samples / "kit.toml", samples / "kit-long-rail.toml"},
                                                 target, kNodes, pattern)) {
        ++sheets;
        boards += e.boards;
        whole += e.as_planned.whole;
        fallen += e.as_planned.fallen;
        taped += e.by_tape.whole;
        taped_fallen += e.by_tape.fallen;
        contacts += e.contacts;
        in_cut += e.screws_in_cut;
        near_cut += e.screws_near_cut;
        beyond += e.heights_beyond_tolerance;
        extra += e.planned.sheet.extra_cut_m > 0 ? 1 : 0;
        volume = std::max(volume, std::abs(e.log_volume_share));
        const std::vector<double>* lists[] = {&e.gaps_seen_m,   &e.gaps_unseen_m, &e.heights_m,
                                              &e.half_widths_m, &e.diagonals_m,   &e.cut_widths_m,
                                              &e.edging_lines_m};
        for (std::size_t i = 0; i < std::size(lists); ++i) pools[i].add(*lists[i]);
        pools[7].add({e.bark_walk_m});
        pools[8].add(e.cant_gaps_m);
        pools[9].add(e.piece_weights_kg);
        const auto worst = [](const std::vector<double>& errors) {
          double most = 0;
          for (const double error : errors) most = std::max(most, std::abs(error));
          return 1e3 * most;
        };
        std::printf(
            "%4llu %-6.6s log %+4.1f diagonals %4.1f boards %2d whole %2d (%2d) taped %2d (%2d) missing "
            "%5.1f %5.1f mm2 size %.2f "
            "length "
            "%.1f clear %5.1f contacts %d tip %5.1f gaps %4.1f heights %4.1f of %.1f %.1f edging %4.1f walk "
            "%4.1f\n",
            static_cast<unsigned long long>(seed), e.planned.sheet.kit_name.c_str(), 1e3 * e.log_length_m,
            worst(e.diagonals_m), e.boards, e.as_planned.whole, e.as_planned.fallen, e.by_tape.whole,
            e.by_tape.fallen, 1e6 * e.as_planned.worst_missing_m2, 1e6 * e.by_tape.worst_missing_m2,
            1e3 * e.as_planned.worst_size_error_m, 1e3 * e.as_planned.worst_length_error_m,
            1e3 * e.least_clearance_m, e.contacts, 1e3 * e.least_tip_m, worst(e.gaps_seen_m),
            worst(e.heights_m), 1e3 * e.planned.sheet.small_end.tolerance_m,
            1e3 * e.planned.sheet.large_end.tolerance_m, worst(e.edging_lines_m), 1e3 * e.bark_walk_m);
      }
    } catch (const std::exception& error) {
      std::printf("%4llu %s\n", static_cast<unsigned long long>(seed), error.what());
    }
    std::fflush(stdout);
  }
  std::printf(
      "%d sheets, %d with an extra opening cut; boards %d: whole %d, within a corner of 5 mm %d; set "
      "by tape %d and %d\n",
      sheets, extra, boards, whole, fallen, taped, taped_fallen);
  std::printf(
      "rail touches bark at %d places; screws in the cut %d, nearer than the limit %d; end marks "
      "beyond their tolerance %d of %d; volume within %.2f %%\n",
      contacts, in_cut, near_cut, beyond, 2 * sheets, 100 * volume);
  for (Pool& pool : pools) pool.print();
}
