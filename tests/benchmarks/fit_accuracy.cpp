/// The fit's errors against the truth of simulated scans, a line a log and a summary:
///   fit_accuracy photo|depth|clutter FIRST_SEED COUNT
/// Every scan has a scale error of up to 1 %, which the log's length by tape then settles, as --scale-length
/// does; the bark thickness is given. 'clutter' is tall grass, three bearers and four neighbours, every other
/// scan like a phone's depth sensor.

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "scan/find/isolate.hpp"
#include "scan/find/orient.hpp"
#include "scan/fit/fit.hpp"
#include "tests/support/against_truth.hpp"
#include "tools/report/scan_words.hpp"
#include "tools/simulate/errors_of_scan.hpp"
#include "tools/simulate/random.hpp"

namespace {

using namespace flitchwise;
using Clock = std::chrono::steady_clock;

constexpr double kMostScaleError = 0.01;  // of a phone's scan: scan_accuracy in the references
constexpr double kOtherLog_m = 0.1;       // no fit is so far off its log
constexpr double kKnot_m = 0.025;         // the least height of the knots that are counted
constexpr std::uint64_t kScaleStream = 901;

struct Case {
  simulate::Scanner scanner;
  simulate::SceneWishes scene;
};

Case make_case(const std::string& kind, std::uint64_t seed) {
  Case made;
  const bool depth = kind == "depth" || (kind == "clutter" && seed % 2 == 0);
  made.scanner = depth ? simulate::depth_scanner() : simulate::photo_scanner();
  simulate::Random random(seed, kScaleStream);
  made.scanner.scale_error = random.uniform(-kMostScaleError, kMostScaleError);
  if (kind == "clutter") {
    made.scene.grass_m = 0.15;
    made.scene.bearers = 3;
    made.scene.neighbours = 4;
  }
  return made;
}

/// The log's length by tape settles the scale; the factor.
double settle_scale(scan::LogCloud& cloud, double tape_m) {
  const double scale = tape_m / (cloud.last_end.point_m - cloud.first_end.point_m).norm();
  for (Eigen::Vector3d& p : cloud.surface_m) {
    p *= scale;
  }
  for (scan::TrackPoint& t : cloud.track) {
    t.centre_m *= scale;
    t.radius_m *= scale;
  }
  for (auto* face : {&cloud.first_face, &cloud.last_face}) {
    for (scan::EndFacePoint& p : *face) {
      p.point_m *= scale;
    }
  }
  cloud.first_end.point_m *= scale;
  cloud.last_end.point_m *= scale;
  return scale;
}

/// The centreline's error less what drift bends the scan, which nobody can see in the scan alone; RMS, and
/// the bend itself.
struct Bend {
  double rest_m = 0;
  double bend_m = 0;
};

Bend without_bend(const LogModel& log, const simulate::Truth& truth, const simulate::ScanErrors& errors) {
  Bend bend;
  for (const Station& s : log.stations) {
    const Eigen::Vector3d centre = truth.to_log(log.frame.to_scan({s.x_m, s.centre_m.x(), s.centre_m.y()}));
    const Eigen::Vector3d in_scan = truth.to_scan(centre);
    const Eigen::Vector2d bent =
        (truth.scan_from_log.transpose() * (errors.bent_m(in_scan) - in_scan)).tail<2>();
    bend.rest_m += (centre.tail<2>() - truth.centre_at(centre.x()) - bent).squaredNorm();
    bend.bend_m += bent.squaredNorm();
  }
  const auto n = static_cast<double>(log.stations.size());
  return {std::sqrt(bend.rest_m / n), std::sqrt(bend.bend_m / n)};
}

/// Sums over all logs.
struct Total {
  double logs = 0, centre_squares = 0, rest_squares = 0, bend_squares = 0;
  testing::RadiusErrors parts[4];
  testing::KnotErrors knots;
  double barks_measured = 0, bark_squares = 0, barks_within = 0;

  void add(const testing::FitErrors& e, const testing::KnotErrors& k, const Bend& bend) {
    logs += 1;
    rest_squares += bend.rest_m * bend.rest_m;
    bend_squares += bend.bend_m * bend.bend_m;
    centre_squares += e.centreline_rms_m * e.centreline_rms_m;
    const testing::RadiusErrors* const of_log[] = {&e.seen_bark, &e.unseen_bark, &e.seen_wood,
                                                   &e.unseen_wood};
    for (int i = 0; i < 4; ++i) {
      const testing::RadiusErrors& r = *of_log[i];
      parts[i].count += r.count;
      parts[i].rms_m += r.count * r.rms_m * r.rms_m;
      parts[i].shape_m += r.count * r.shape_m * r.shape_m;
      parts[i].mean_m += r.count * r.mean_m;
      parts[i].within_two_sigma += r.count * r.within_two_sigma;
    }
    knots.true_seen += k.true_seen;
    knots.found += k.found;
    knots.false_alarms += k.false_alarms;
  }

  void print() const {
    std::printf("all of %.0f: centreline %.2f mm RMS; %.2f without the scans' own bend, which is %.2f\n",
                logs, 1e3 * std::sqrt(centre_squares / logs), 1e3 * std::sqrt(rest_squares / logs),
                1e3 * std::sqrt(bend_squares / logs));
    const char* const names[] = {"seen bark", "unseen bark", "seen wood", "unseen wood"};
    for (int i = 0; i < 4; ++i) {
      const testing::RadiusErrors& r = parts[i];
      std::printf("  %-11s in place %5.2f mm RMS, shape %5.2f, mean %5.2f, within 2 sigma %.1f %%\n",
                  names[i], 1e3 * std::sqrt(r.rms_m / r.count), 1e3 * std::sqrt(r.shape_m / r.count),
                  1e3 * r.mean_m / r.count, 100 * r.within_two_sigma / r.count);
    }
    for (const int i : {0, 2}) {
      std::printf("  %s within 2 sigma, seen and unseen: %.1f %%\n", i == 0 ? "bark" : "wood",
                  100 * (parts[i].within_two_sigma + parts[i + 1].within_two_sigma) /
                      (parts[i].count + parts[i + 1].count));
    }
    std::printf("  bark measured at the ends on %.0f logs: %.2f mm RMS, %.0f within 2 sigma\n",
                barks_measured, 1e3 * std::sqrt(bark_squares / std::max(1.0, barks_measured)), barks_within);
    std::printf("  knots over %.0f mm: %d of %d, false alarms %.2f a log\n", 1e3 * kKnot_m, knots.found,
                knots.true_seen, knots.false_alarms / logs);
  }
};

void one(const std::string& kind, std::uint64_t seed, Total& total) {
  const Case made = make_case(kind, seed);
  const auto simulation = simulate::simulate_random(seed, made.scanner, {}, made.scene);
  const auto start = Clock::now();
  const auto oriented = scan::orient(testing::cloud_of(simulation.scan));
  scan::LogCloud log_cloud = scan::isolate(oriented.cloud, oriented.ground);
  const auto isolated = Clock::now();
  const auto number = static_cast<unsigned long long>(seed);
  if (log_cloud.status != scan::LogCloud::Status::ok) {
    std::printf("%4llu isolate: %s\n", number,
                report::words(log_cloud.message.value(), report::Units::millimetres).c_str());
    return;
  }
  const double settled = settle_scale(log_cloud, simulation.truth.length_m);
  scan::FitOptions options;
  options.bark_m = simulation.truth.bark_m;
  const auto fitted = scan::fit(log_cloud, options);
  const auto end = Clock::now();
  if (fitted.status != scan::FitResult::Status::ok) {
    std::printf("%4llu fit: %s\n", number,
                report::words(fitted.message.value(), report::Units::millimetres).c_str());
    return;
  }
  // The scan's points are the truth's times 1 + the scale error, all round the frame's origin, and so is the
  // settled cloud: back to where the truth lies.
  LogModel log = fitted.log;
  log.frame.origin_in_scan_m /= settled * (1 + made.scanner.scale_error);
  const auto e = testing::against_truth(log, simulation.truth);
  if (e.centreline_rms_m > kOtherLog_m) {
    std::printf("%4llu isolate: took another log of the scene\n", number);
    return;
  }
  const auto k = testing::judge_knots(log, simulation.truth, kKnot_m);
  const double length_m = simulate::random_log(seed).length_m;
  const simulate::Site site =
      simulate::build_site(simulate::random_log(seed), simulate::random_scene(seed, length_m, made.scene));
  const Bend bend =
      without_bend(log, simulation.truth,
                   simulate::ScanErrors(site, simulate::with_random_walk(made.scanner, seed), seed));
  total.add(e, k, bend);
  options.bark_m.reset();
  const LogModel by_itself = scan::fit(log_cloud, options).log;
  if (by_itself.bark_source.kind == BarkSource::Kind::ends) {
    const double off_m = by_itself.bark_m - simulation.truth.bark_m;
    total.barks_measured += 1;
    total.bark_squares += off_m * off_m;
    total.barks_within += std::abs(off_m) < 2 * by_itself.bark_sigma_m ? 1 : 0;
    std::printf("[bark %.1f off %+.1f] ", 1e3 * simulation.truth.bark_m, 1e3 * off_m);
  }
  const auto ms = [](auto a, auto b) { return std::chrono::duration<double, std::milli>(b - a).count(); };
  std::printf("%4llu %5.2f %4.0f | %6.1f %6.1f %5.1f |", number, simulation.truth.length_m,
              1e3 * simulation.truth.bark_diameter_m(0), 1e3 * e.length_m, 1e3 * e.usable_length_m,
              1e3 * e.centreline_rms_m);
  std::printf(" %5.1f %5.1f |", 1e3 * bend.rest_m, 1e3 * bend.bend_m);
  for (const auto& r : {e.seen_bark, e.unseen_bark, e.seen_wood, e.unseen_wood}) {
    std::printf(" %5.2f %5.2f %5.2f %3.0f%% |", 1e3 * r.rms_m, 1e3 * r.shape_m, 1e3 * r.mean_m,
                100 * r.within_two_sigma);
  }
  double wood_sigma = 0;
  for (const auto& s : log.stations) {
    wood_sigma += s.wood_sigma_m.mean() / static_cast<double>(log.stations.size());
  }
  std::printf(" res %.1f ws %.1f knots %d/%d + %d of %zu | %zu pts isolate %.0f fit %.0f ms %s\n",
              1e3 * log.residual_m, 1e3 * wood_sigma, k.found, k.true_seen, k.false_alarms, log.knots.size(),
              log_cloud.surface_m.size(), ms(start, isolated), ms(isolated, end), log.find_error().c_str());
}

}  // namespace

int main(int argc, char** argv) {
  const std::string kind = argc > 1 ? argv[1] : "photo";
  const std::uint64_t first = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  const std::uint64_t count = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 5;
  std::printf(
      "seed length dia | length usable centre | without bend, bend | seen bark rms shape mean in2s | unseen "
      "bark | seen wood | "
      "unseen wood\n");
  Total total;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    one(kind, seed, total);
    std::fflush(stdout);
  }
  total.print();
}
