#include "solver/allocate/shortages.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/errors.hpp"
#include "scan/model/log_model.hpp"
#include "solver/search/search.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kTaper = 0.010;  // growth of the diameter, metres a metre; common practice, no source
constexpr double kTrim_m = 0.05;  // a log's ends are not square; common practice, no source
constexpr double kSurfaceSigma_m = 0.003;  // what a fair scan leaves open: plans keep in by some of these
constexpr double kStep_m = 0.010;          // of diameters
constexpr double kStationStep_m = 0.05;
constexpr int kAngles = 90;
// Enough for all the boards that a straight round log can give; counted, so that the answer is the same
// everywhere.
constexpr std::uint64_t kCells = 2000;

/// Straight and round, `diameter_m` under bark at the small end.
LogModel plain_log(double diameter_m, double length_m) {
  LogModel log;
  log.length_m = length_m;
  const int stations = static_cast<int>(std::ceil(length_m / kStationStep_m)) + 1;
  for (int i = 0; i < stations; ++i) {
    Station station;
    station.x_m = length_m * i / (stations - 1);
    station.wood_radius_m = Eigen::VectorXd::Constant(kAngles, (diameter_m + kTaper * station.x_m) / 2);
    station.bark_radius_m = station.wood_radius_m;
    station.wood_sigma_m = station.bark_sigma_m = Eigen::VectorXd::Constant(kAngles, kSurfaceSigma_m);
    station.seen.assign(kAngles, 1);
    log.stations.push_back(std::move(station));
  }
  log.small_end = {{0, 0, 0}, -Eigen::Vector3d::UnitX(), true};
  log.large_end = {{length_m, 0, 0}, Eigen::Vector3d::UnitX(), true};
  return log;
}

/// What plain logs give of one target.
class PlainLogs {
 public:
  PlainLogs(Target target, const SearchOptions& options) : target_(std::move(target)), options_(options) {
    target_.value = 1;               // boards are counted
    options_.roll_only_rad.clear();  // a round log is the same on every side
    options_.as_it_lies = true;
    options_.most_nodes = 0;
  }

  double length_m() const { return target_.length_m + kTrim_m; }

  /// Boards of a log as thick as `steps` say.
  int most(int steps) const { return boards(steps, 0, false); }
  bool gives(int steps, int wanted) const { return boards(steps, wanted - 1, true) >= wanted; }

  /// Fewest steps that give `wanted`. Requires: `most_steps` do.
  int thinnest(int wanted, int most_steps) const {
    int too_thin = 0;
    int enough = most_steps;
    while (enough - too_thin > 1) {
      const int middle = (enough + too_thin) / 2;
      (gives(middle, wanted) ? enough : too_thin) = middle;
    }
    return enough;
  }

 private:
  int boards(int steps, int known, bool first_find) const {
    constexpr double kSeconds = 1e6;  // never: the cells end it
    QuickSearch quick;
    quick.known_value = known;
    quick.first_find = first_find;
    quick.seconds = kSeconds;
    quick.most_cells = kCells;
    const auto plan = search_quick(plain_log(steps * kStep_m, length_m()), {target_}, options_, quick).plan;
    return plan ? static_cast<int>(plan->boards.size()) : 0;
  }

  Target target_;
  SearchOptions options_;
};

Shortage shortage_of(const Target& target, int boards, const SearchOptions& options) {
  const PlainLogs logs(target, options);
  Shortage shortage;
  shortage.boards = boards;
  const int most_steps = static_cast<int>(std::lround(kLargestLog_m / kStep_m));
  if (const int each = logs.most(most_steps); each > 0) {
    shortage.logs = (boards + each - 1) / each;
    const int wanted = (boards + shortage.logs - 1) / shortage.logs;
    shortage.small_end_diameter_m = logs.thinnest(wanted, most_steps) * kStep_m;
    shortage.log_length_m = logs.length_m();
  }
  return shortage;
}

}  // namespace

std::vector<Shortage> shortages(const Order& order, const Allocation& allocation,
                                const SearchOptions& options) {
  check(order);
  check(options);
  require(allocation.lines.size() == order.lines.size(), "the allocation is of another order");
  std::vector<Shortage> all;
  for (std::size_t line = 0; line < order.lines.size(); ++line) {
    if (allocation.lines[line].short_by > 0) {
      all.push_back(shortage_of(order.lines[line].target, allocation.lines[line].short_by, options));
      all.back().line = line;
    }
  }
  return all;
}

}  // namespace flitchwise::solver
