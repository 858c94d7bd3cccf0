#include "solver/advice/what_limits.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>

#include "scan/model/errors.hpp"
#include "solver/search/search.hpp"

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr double kLargerStep_m = 0.0005;     // finer than any scan
constexpr double kKerfStep_m = 0.0005;       // chains are told apart to that
constexpr double kThinnestKerf_m = 0.0015;   // a band's; no saw cuts a log with less
constexpr double kSizeStep_m = 0.001;        // a board's width or thickness is ordered to the millimetre
constexpr double kLengthStep_m = 0.01;       // and its length to the centimetre
constexpr double kMostChange = 0.2;          // of a size: with more it is another board
constexpr double kLeastThickness_m = 0.006;  // sizes stay in the range of `check`
constexpr double kLeastWidth_m = 0.011;
constexpr double kLeastLength_m = 0.11;
constexpr double kConfidenceStep = 0.5;  // sigmas: nobody weighs risks finer
constexpr double kBoardStep_m = 0.02;    // places along a board's edges at which wood is looked for

/// What one search asks: the log, the boards, the options.
struct Question {
  const LogModel* log;
  std::vector<Target> targets;
  SearchOptions options;
};

/// Searches for plans worth more than the known one until time or work is spent.
class Searcher {
 public:
  using Clock = std::chrono::steady_clock;
  Searcher(const SawPlan& plan, const WhatLimitsOptions& limits)
      : plan_(plan), limits_(limits), start_(Clock::now()) {}

  enum class Want { any, best };

  /// A plan worth more than the known one; empty if none was found. `shares`: of the work.
  std::optional<SawPlan> more(const Question& question, Want want = Want::any, std::uint64_t shares = 1) {
    const double left_s = limits_.time_limit_s - passed_s();
    const bool worked_out = limits_.most_nodes > 0 && spent_nodes_ >= limits_.most_nodes;
    if (left_s <= kLeastTime_s || worked_out) {
      ended_ = true;
      return std::nullopt;
    }
    QuickSearch quick;
    quick.known_value = plan_.value;
    quick.first_find = want == Want::any;
    quick.seconds = std::min(left_s, kMostShare * limits_.time_limit_s);
    quick.most_cells = limits_.most_cells;
    SearchOptions options = question.options;
    options.most_nodes = smaller_limit(options.most_nodes, shares * share_of_nodes());
    const double asked_s = passed_s();
    QuickAnswer answer = search_quick(*question.log, question.targets, options, quick);
    spent_nodes_ += answer.nodes;
    ended_ = ended_ || (!answer.plan && passed_s() - asked_s >= quick.seconds);
    return std::move(answer.plan);
  }
  bool ended() const { return ended_; }

 private:
  double passed_s() const { return std::chrono::duration<double>(Clock::now() - start_).count(); }
  /// For one search; 0: no limit.
  std::uint64_t share_of_nodes() const {
    return limits_.most_nodes == 0 ? 0 : std::max<std::uint64_t>(1, limits_.most_nodes / kShares);
  }
  /// Of two limits of which 0 means none.
  static std::uint64_t smaller_limit(std::uint64_t a, std::uint64_t b) {
    return a == 0 || b == 0 ? std::max(a, b) : std::min(a, b);
  }

  static constexpr std::uint64_t kShares = 30;   // of the nodes: none starves the others
  static constexpr double kMostShare = 0.125;    // of the time
  static constexpr double kLeastTime_s = 0.001;  // a search in less finds nothing
  const SawPlan& plan_;
  WhatLimitsOptions limits_;
  Clock::time_point start_;
  std::uint64_t spent_nodes_ = 0;
  bool ended_ = false;
};

/// The fewest steps (more than `bad`, which do not gain, up to `most`) that gain, as if more steps never gave
/// less; empty if `most` does not gain or time or work ended.
template <typename Ask>
std::optional<std::pair<int, SawPlan>> fewest_steps(Searcher& searcher, int bad, int most, const Ask& ask) {
  if (most <= bad) {
    return std::nullopt;
  }
  std::optional<SawPlan> found = searcher.more(ask(most));
  if (!found) {
    return std::nullopt;
  }
  while (most - bad > 1) {
    const int middle = (bad + most) / 2;
    std::optional<SawPlan> nearer = searcher.more(ask(middle));
    if (nearer) {
      found = std::move(nearer);
      most = middle;
    } else {
      bad = middle;
    }
  }
  return std::pair(most, std::move(*found));
}

/// One size of a board, how far down it may go and in what steps.
struct Size {
  Change::Kind kind;
  double Target::*member;
  double step_m;
  double least_m;
};

class Looker {
 public:
  Looker(const LogModel& log, const SawPlan& plan, const WhatLimitsOptions& limits)
      : log_(log), plan_(plan), searcher_(plan, limits) {}

  WhatLimits look() {
    next_board();
    surface();
    confidence();
    roll();
    kerf();
    for (std::size_t i = 0; i < plan_.targets.size(); ++i) {
      for (const Size& size :
           {Size{Change::Kind::width, &Target::width_m, kSizeStep_m, kLeastWidth_m},
            Size{Change::Kind::thickness, &Target::thickness_m, kSizeStep_m, kLeastThickness_m},
            Size{Change::Kind::length, &Target::length_m, kLengthStep_m, kLeastLength_m}}) {
        board_size(i, size);
      }
    }
    std::stable_sort(limits_.changes.begin(), limits_.changes.end(),
                     [](const Change& a, const Change& b) { return a.kind < b.kind; });
    limits_.complete = !searcher_.ended();
    return std::move(limits_);
  }

 private:
  void add(Change::Kind kind, const SawPlan& found, double from, double to, std::size_t target = 0) {
    const auto boards = static_cast<int>(found.boards.size());
    limits_.changes.push_back({kind, target, from, to, boards, boards - static_cast<int>(plan_.boards.size()),
                               found.value - plan_.value});
  }

  Question as_it_is() const { return {&log_, plan_.targets, plan_.options}; }

  void kerf() {
    const SearchOptions& now = plan_.options;
    const double thickest_m = std::max({now.kerf_m, now.rip_kerf_m});
    const auto steps = static_cast<int>((thickest_m - kThinnestKerf_m) / kKerfStep_m + kRounding);
    const auto thinner = [&](int step) {
      Question question = as_it_is();
      for (double* kerf_m : {&question.options.kerf_m, &question.options.rip_kerf_m}) {
        *kerf_m = std::min(*kerf_m, std::max(thickest_m - step * kKerfStep_m, 0.0));
      }
      return question;
    };
    // Half the kerf is what a thinner chain or a band can do; less is no advice.
    const int most = std::min(steps, static_cast<int>(thickest_m / 2 / kKerfStep_m));
    if (const auto found = fewest_steps(searcher_, 0, most, thinner)) {
      add(Change::Kind::kerf, found->second, thickest_m, thickest_m - found->first * kKerfStep_m);
    }
  }

  void board_size(std::size_t target, const Size& size) {
    const double now_m = plan_.targets[target].*size.member;
    const double room_m = std::min(kMostChange * now_m, now_m - size.least_m);
    const auto smaller = [&](int step) {
      Question question = as_it_is();
      question.targets[target].*size.member = now_m - step * size.step_m;
      return question;
    };
    if (const auto found =
            fewest_steps(searcher_, 0, static_cast<int>(room_m / size.step_m + kRounding), smaller)) {
      add(size.kind, found->second, now_m, now_m - found->first * size.step_m, target);
    }
  }

  void roll() {
    if (!plan_.options.as_it_lies && plan_.options.roll_only_rad.empty()) {
      return;
    }
    Question question = as_it_is();
    question.options.as_it_lies = false;
    question.options.roll_only_rad.clear();
    if (const auto found = searcher_.more(question, Searcher::Want::any, kSharesOfOne)) {
      add(Change::Kind::roll, *found, plan_.orientation.roll_rad, found->orientation.roll_rad);
    }
  }

  void surface() {
    if (plan_.options.sigmas <= 0) {
      return;
    }
    Question question = as_it_is();
    question.options.sigmas = 0;
    if (const auto found = searcher_.more(question, Searcher::Want::best, kSharesOfOne)) {
      add(Change::Kind::surface, *found, plan_.options.sigmas, 0);
    }
  }

  void confidence() {
    const auto fewer = [&](int step) {
      Question question = as_it_is();
      question.options.sigmas -= step * kConfidenceStep;
      return question;
    };
    const double room = plan_.options.sigmas - kLeastConfidence;
    if (const auto found =
            fewest_steps(searcher_, 0, static_cast<int>(room / kConfidenceStep + kRounding), fewer)) {
      const double sigmas = plan_.options.sigmas;
      add(Change::Kind::confidence, found->second, sigmas, sigmas - found->first * kConfidenceStep);
    }
  }

  void next_board();

  static constexpr double kRounding = 1e-6;
  static constexpr std::uint64_t kSharesOfOne = 4;  // for what is asked once, not halved
  const LogModel& log_;
  const SawPlan& plan_;
  Searcher searcher_;
  WhatLimits limits_;
};

/// How far a point lies outside the planning surface of the log, square to x, and where; negative inside.
BindingSpot spot_at(const LogModel& log, const Eigen::Vector3d& point_m, double sigmas) {
  const Station station = station_at(log, point_m.x());
  const Eigen::Vector2d out = point_m.tail<2>() - station.centre_m;
  BindingSpot spot;
  spot.x_m = point_m.x();
  spot.theta_rad = std::atan2(out.y(), out.x());
  const auto n = station.wood_radius_m.size();
  const double place =
      (spot.theta_rad < 0 ? spot.theta_rad + 2 * pi : spot.theta_rad) / (2 * pi) * static_cast<double>(n);
  const auto first = static_cast<Eigen::Index>(place) % n;
  const auto second = (first + 1) % n;
  const double u = place - std::floor(place);
  const auto between = [&](const Eigen::VectorXd& v) { return (1 - u) * v[first] + u * v[second]; };
  spot.sigma_m = between(station.wood_sigma_m);
  spot.missing_m = out.norm() - (between(station.wood_radius_m) - sigmas * spot.sigma_m);
  spot.seen = station.seen[static_cast<std::size_t>(u < 1. / 2 ? first : second)] != 0;
  return spot;
}

/// The point on the long edges of a plan's boards that sticks out furthest.
BindingSpot worst_spot(const LogModel& log, const SawPlan& plan) {
  BindingSpot worst;
  worst.missing_m = -1;
  for (const Board& board : plan.boards) {
    for (std::size_t corner = 0; corner < 4; ++corner) {
      const Eigen::Vector3d& a = board.corners_m.at(corner);
      const Eigen::Vector3d& b = board.corners_m.at(corner + 4);
      const int steps = std::max(1, static_cast<int>((b - a).norm() / kBoardStep_m));
      for (int i = 0; i <= steps; ++i) {
        const double u = static_cast<double>(i) / steps;
        const BindingSpot spot = spot_at(log, (1 - u) * a + u * b, plan.options.sigmas);
        worst = spot.missing_m > worst.missing_m ? spot : worst;
      }
    }
  }
  return worst;
}

void Looker::next_board() {
  std::vector<LogModel> logs;  // of one step each, so that questions can point to them
  logs.reserve(static_cast<std::size_t>(kMostLarger_m / kLargerStep_m) + 1);
  const auto grown = [&](int step) {
    Question question = as_it_is();
    logs.push_back(larger(log_, step * kLargerStep_m));
    question.log = &logs.back();
    return question;
  };
  const auto steps = static_cast<int>(kMostLarger_m / kLargerStep_m + kRounding);
  for (int bad = 0, most = 2; most <= steps; bad = most, most *= 2) {
    if (const auto found = fewest_steps(searcher_, bad, most, grown)) {
      limits_.next_board = worst_spot(log_, found->second);
      limits_.next_board->larger_m = found->first * kLargerStep_m;
      return;
    }
  }
}

}  // namespace

LogModel larger(const LogModel& log, double larger_m) {
  LogModel grown = log;
  for (Station& station : grown.stations) {
    station.wood_radius_m.array() += larger_m;
    station.bark_radius_m.array() += larger_m;
  }
  return grown;
}

WhatLimits what_limits(const LogModel& log, const SawPlan& plan, const WhatLimitsOptions& options) {
  require(plan.status == SawPlan::Status::ok, "what limits a plan is asked of one without boards");
  require(options.time_limit_s >= 0 && options.time_limit_s <= 3600,
          "the time for what limits the plan must lie between 0 and 3600 s");
  return Looker(log, plan, options).look();
}

}  // namespace flitchwise::solver
