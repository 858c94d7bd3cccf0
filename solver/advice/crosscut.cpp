#include "solver/advice/crosscut.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>

#include "scan/model/cut_out.hpp"
#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kFirstStep_m = 0.3;  // apart: sweep changes slowly along a log
constexpr int kMostFirst = 7;         // places tried at first
constexpr double kLastStep_m = 0.01;  // a chalk line on a log is no finer
constexpr double kEndRoom_m = 0.02;   // that a slanting cut takes of a piece, and corners of boards need
constexpr std::uint64_t kCells = 96;  // roll cells for one piece: enough to find what most logs give

using Clock = std::chrono::steady_clock;

/// What two pieces give.
struct Worth2 {
  double value = 0;
  double margin_m = 0;  ///< the smaller one
  bool operator<(const Worth2& other) const {
    return std::pair(value, margin_m) < std::pair(other.value, other.margin_m);
  }
};

class PlaceSearch {
 public:
  PlaceSearch(const LogModel& log, const std::vector<Target>& targets, SearchOptions options,
              const CrosscutOptions& crosscut)
      : log_(log),
        targets_(targets),
        options_(std::move(options)),
        seconds_(crosscut.time_limit_s),
        start_(Clock::now()) {
    options_.most_nodes = crosscut.look_nodes > 0 ? crosscut.look_nodes : options_.most_nodes;
    double shortest_m = targets.front().length_m;
    for (const Target& target : targets) {
      shortest_m = std::min(shortest_m, target.length_m);
    }
    const double end_m = shortest_m + kEndRoom_m + options_.crosscut_kerf_m / 2;
    low_m_ = end_m;
    high_m_ = log.usable_length_m() - end_m;
  }

  bool possible() const { return low_m_ <= high_m_; }
  bool complete() const { return complete_; }

  /// The best place; empty if none gives a board.
  std::optional<double> best() {
    const double span_m = high_m_ - low_m_;
    const int spaces = std::clamp(static_cast<int>(std::ceil(span_m / kFirstStep_m)), 0, kMostFirst - 1);
    for (int i = 0; i <= spaces; ++i) {
      look(spaces == 0 ? low_m_ + span_m / 2 : low_m_ + span_m * i / spaces);
    }
    for (double step_m = spaces > 0 ? span_m / spaces / 2 : 0; step_m > kLastStep_m; step_m /= 2) {
      const double middle_m = best_x_m_;
      look(std::max(low_m_, middle_m - step_m));
      look(std::min(high_m_, middle_m + step_m));
    }
    return best_.value > 0 ? std::optional(best_x_m_) : std::nullopt;
  }

 private:
  void look(double x_m) {
    if (!tried_.emplace(x_m, true).second) {
      return;
    }
    Worth2 worth;
    worth.margin_m = 1;
    for (const auto& [from_m, to_m] :
         {std::pair(0.0, x_m - options_.crosscut_kerf_m / 2),
          std::pair(x_m + options_.crosscut_kerf_m / 2, log_.usable_length_m())}) {
      const double left_s = seconds_ - std::chrono::duration<double>(Clock::now() - start_).count();
      if (left_s <= 0) {
        complete_ = false;
        return;
      }
      QuickSearch quick;
      quick.seconds = left_s;
      quick.most_cells = kCells;
      const QuickAnswer found = search_quick(cut_out(log_, from_m, to_m), targets_, options_, quick);
      if (found.plan) {
        worth.value += found.plan->value;
        worth.margin_m = std::min(worth.margin_m, found.plan->margin_m);
      }
    }
    if (best_ < worth) {
      best_ = worth;
      best_x_m_ = x_m;
    }
  }

  const LogModel& log_;
  const std::vector<Target>& targets_;
  SearchOptions options_;
  double seconds_;
  Clock::time_point start_;
  double low_m_ = 0;
  double high_m_ = 0;
  Worth2 best_;
  double best_x_m_ = 0;
  bool complete_ = true;
  std::map<double, bool> tried_;
};

}  // namespace

std::optional<CrosscutFirst> best_crosscut(const LogModel& log, const std::vector<Target>& targets,
                                           const SearchOptions& options, const CrosscutOptions& crosscut) {
  check(targets);
  check(options);
  require(crosscut.time_limit_s > 0 && crosscut.time_limit_s <= 3600,
          "the time to look for a cross-cut must lie between 0 and 3600 s");
  check(log);
  PlaceSearch places(log, targets, options, crosscut);
  if (!places.possible()) {
    return std::nullopt;
  }
  const std::optional<double> x_m = places.best();
  if (!x_m) {
    return std::nullopt;
  }
  CrosscutFirst answer;
  answer.cut_x_m = *x_m;
  answer.complete = places.complete();
  answer.pieces = {cut_out(log, 0, *x_m - options.crosscut_kerf_m / 2),
                   cut_out(log, *x_m + options.crosscut_kerf_m / 2, log.usable_length_m())};
  SearchOptions each = options;
  each.time_limit_s = crosscut.piece_limit_s;
  each.most_nodes = crosscut.piece_nodes > 0 ? crosscut.piece_nodes : options.most_nodes;
  for (const LogModel& piece : answer.pieces) {
    answer.plans.push_back(search(piece, targets, each));
    answer.boards += static_cast<int>(answer.plans.back().boards.size());
    answer.value += answer.plans.back().value;
  }
  return answer;
}

}  // namespace flitchwise::solver
