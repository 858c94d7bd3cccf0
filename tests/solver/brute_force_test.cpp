// The search against an exhaustive grid over roll, pitch, height, yaw and place, written without the solver's
// code.

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "solver/search/search.hpp"
#include "tests/support/board_check.hpp"
#include "tests/support/random_log.hpp"

namespace flitchwise {
namespace {

using std::numbers::pi;

constexpr int kStations = 31;
constexpr int kAngles = 72;
constexpr std::uint64_t kLogs = 20;

struct Grid {
  double roll_from, roll_to, roll_step;
  double pitch_from, pitch_to, pitch_step;
  double height_step_m;
};

class BruteForce {
 public:
  BruteForce(const LogModel& log, const solver::Target& target, const solver::SearchOptions& options)
      : target_(target), options_(options) {
    for (const Station& station : log.stations) {
      x_.push_back(station.x_m);
      outlines_.push_back(planning_outline_m(station, options.sigmas));
    }
  }

  int most_boards(const Grid& grid) {
    int most = 0;
    for (double roll = grid.roll_from; roll <= grid.roll_to; roll += grid.roll_step) {
      turn(roll);
      for (double pitch = grid.pitch_from; pitch <= grid.pitch_to; pitch += grid.pitch_step) {
        most = std::max(most, most_at(pitch, grid.height_step_m));
      }
    }
    return most;
  }

 private:
  void turn(double roll) {
    Eigen::Matrix2d rotation;
    rotation << std::cos(roll), -std::sin(roll), std::sin(roll), std::cos(roll);
    turned_.clear();
    for (const Eigen::MatrixX2d& outline : outlines_) {
      turned_.emplace_back(outline * rotation.transpose());
    }
  }

  int most_at(double pitch, double height_step_m) {
    const double stretch = std::sqrt(1 + pitch * pitch);
    const double spacing = (target_.thickness_m + options_.kerf_m) * stretch;
    const int heights = static_cast<int>(spacing / height_step_m);
    std::vector<int> sums(static_cast<std::size_t>(heights), 0);
    for (int i = 0; i < heights; ++i) {
      for (double z = i * height_step_m - spacing * std::ceil(0.4 / spacing); z < 0.4; z += spacing) {
        sums[static_cast<std::size_t>(i)] += layer_boards(z, z + target_.thickness_m * stretch, pitch);
      }
    }
    return *std::max_element(sums.begin(), sums.end());
  }

  /// The room that one convex section leaves over a layer.
  static bool room(const Eigen::MatrixX2d& outline, double low, double high, double& left, double& right) {
    left = -1;
    right = 1;
    bool below = false;
    bool above = false;
    const Eigen::Index n = outline.rows();
    for (Eigen::Index k = 0; k < n; ++k) {
      const Eigen::RowVector2d a = outline.row(k);
      const Eigen::RowVector2d b = outline.row((k + 1) % n);
      below = below || a.y() < low;
      above = above || a.y() > high;
      for (const double z : {std::clamp(low, std::min(a.y(), b.y()), std::max(a.y(), b.y())),
                             std::clamp(high, std::min(a.y(), b.y()), std::max(a.y(), b.y()))}) {
        if (z < low || z > high || a.y() == b.y()) {
          continue;
        }
        const double y = a.x() + (b.x() - a.x()) * (z - a.y()) / (b.y() - a.y());
        if (b.y() > a.y()) {
          right = std::min(right, y);
        } else {
          left = std::max(left, y);
        }
      }
    }
    return below && above && left < right;
  }

  int layer_boards(double low, double high, double pitch) {
    const double pivot = x_.back() / 2;
    std::vector<double> left(x_.size(), 0);
    std::vector<double> right(x_.size(), -1);
    for (std::size_t s = 0; s < x_.size(); ++s) {
      const double rise = pitch * (x_[s] - pivot);
      if (!room(turned_[s], low + rise, high + rise, left[s], right[s])) {
        if (x_[s] > x_.back() - target_.length_m && x_[s] < target_.length_m) {
          return 0;  // every place covers this station
        }
        right[s] = left[s] - 1;
      }
    }
    int most = 0;
    const double slack = x_.back() - target_.length_m;
    for (const double from : {0.0, slack / 2, slack}) {
      most = std::max(most, strip_boards(left, right, from));
    }
    return most;
  }

  int strip_boards(const std::vector<double>& left, const std::vector<double>& right, double from) {
    int most = 0;
    for (int step = -8; step <= 8; ++step) {
      const double yaw = step * 0.004;
      double high = 1;
      double low = -1;
      for (std::size_t s = 0; s < x_.size(); ++s) {
        if (x_[s] < from - kEnds_m || x_[s] > from + target_.length_m + kEnds_m) {
          continue;
        }
        high = std::min(high, right[s] - yaw * x_[s]);
        low = std::max(low, left[s] - yaw * x_[s]);
      }
      const double width = (high - low) / std::sqrt(1 + yaw * yaw);
      most = std::max(
          most, static_cast<int>((width + options_.rip_kerf_m) / (target_.width_m + options_.rip_kerf_m)));
    }
    return most;
  }

  // A turned board's corners reach a little beyond its length; and between stations nothing is looked at, so
  // one more is taken at both ends to judge no plan better than it is.
  static constexpr double kEnds_m = 0.15;

  solver::Target target_;
  solver::SearchOptions options_;
  std::vector<double> x_;
  std::vector<Eigen::MatrixX2d> outlines_;
  std::vector<Eigen::MatrixX2d> turned_;
};

const Grid kEverywhere{-pi / 2, pi / 2, pi / 24, -0.024, 0.024, 0.006, 0.003};

Grid around(const solver::Orientation& o) {
  return {o.roll_rad - 0.05, o.roll_rad + 0.05, 0.0166, o.pitch - 0.006, o.pitch + 0.006, 0.002, 0.0015};
}

}  // namespace

TEST_CASE("no pose of an exhaustive grid gives more boards, and the bound is never below one") {
  const std::vector<solver::Target> targets{
      {"", 0.05, 0.15, 2.8}, {"", 0.03, 0.1, 3.0}, {"", 0.08, 0.12, 2.5}};
  int grid_total = 0;
  int plan_total = 0;
  for (std::uint64_t seed = 1; seed <= kLogs; ++seed) {
    CAPTURE(seed);
    const LogModel log = test::make_log(test::random_shape(seed), kStations, kAngles);
    const solver::Target& target = targets[seed % targets.size()];
    solver::SearchOptions options;
    options.time_limit_s = 86400;  // never
    options.most_nodes = 30000;    // borderline logs stay open, but their bound holds
    const solver::SawPlan plan = solver::search(log, {target}, options);
    BruteForce grid(log, target, options);
    const int found = std::max(grid.most_boards(kEverywhere), grid.most_boards(around(plan.orientation)));
    CHECK(plan.proof.upper_bound >= found);
    CHECK(plan.proof.boards >= found);
    CHECK(plan.proof.boards == static_cast<int>(plan.boards.size()));
    CHECK(test::worst_overhang_m(log, plan) < 1e-7);
    grid_total += found;
    plan_total += plan.proof.boards;
  }
  // A grid that finds next to nothing would prove nothing.
  CHECK(grid_total > plan_total * 8 / 10);
}

}  // namespace flitchwise
