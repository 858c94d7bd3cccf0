#include "tests/solver/exhaustive.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>
#include <utility>
#include <vector>

namespace flitchwise::test {
namespace {

using std::numbers::pi;

constexpr double kTable_m = 0.0005;  // step of the flanks' tables; chords of a convex outline lie inside it
constexpr double kMostRise_m = 0.1;  // a stack tilted more than that cuts the log slantwise
constexpr double kMostYaw = 0.04;    // a bow of 6 cm straightens with less
constexpr int kYawRounds = 14;       // of a golden section over that: to 0.0001
constexpr double kEnds_m = 0.02;     // corners of turned boards stand over their length by at most this

struct Round {
  double roll_step_rad;
  double rise_step_m;
  double height_step_m;
  double smaller_m;    ///< boards that count as a promise are this much smaller all round
  std::size_t stride;  ///< of the stations
  int places;          ///< along the log
  std::size_t keep;    ///< poses that go on to the next round
};
constexpr double kDegree = pi / 180;
constexpr Round kRounds[] = {{2 * kDegree, 0.008, 0.003, 0.0015, 4, 3, 40},
                             {0.8 * kDegree, 0.004, 0.002, 0.0008, 2, 3, 24},
                             {0.3 * kDegree, 0.002, 0.002, 0.0004, 1, 5, 12},
                             {0.1 * kDegree, 0.001, 0.001, 0, 1, 9, 1}};

/// A pose on the grid of a round, in its steps.
using Cell = std::pair<int, int>;

struct Score {
  int boards = 0;
  int promised = 0;
  Cell cell;
  friend bool operator<(const Score& a, const Score& b) {
    return std::tuple(-a.boards - a.promised, -a.boards, a.cell) <
           std::tuple(-b.boards - b.promised, -b.boards, b.cell);
  }
};

/// Both flanks of an outline over the height.
struct Flanks {
  double bottom_m = 0;
  double top_m = 0;
  std::vector<double> left_m;   ///< largest y
  std::vector<double> right_m;  ///< least y

  double at(const std::vector<double>& flank, double z_m) const {
    const double place = (z_m - bottom_m) / kTable_m;
    const auto i = std::min(static_cast<std::size_t>(place), flank.size() - 2);
    const double u = place - static_cast<double>(i);
    return (1 - u) * flank[i] + u * flank[i + 1];
  }
};

Flanks flanks_of(const Eigen::MatrixX2d& outline) {
  Flanks flanks;
  flanks.bottom_m = outline.col(1).minCoeff();
  flanks.top_m = outline.col(1).maxCoeff();
  const auto n = static_cast<std::size_t>((flanks.top_m - flanks.bottom_m) / kTable_m) + 1;
  flanks.top_m = flanks.bottom_m + static_cast<double>(n - 1) * kTable_m;
  flanks.left_m.assign(n, -1);
  flanks.right_m.assign(n, 1);
  for (Eigen::Index k = 0; k < outline.rows(); ++k) {
    Eigen::RowVector2d a = outline.row(k);
    Eigen::RowVector2d b = outline.row((k + 1) % outline.rows());
    if (a.y() > b.y()) {
      std::swap(a, b);
    }
    if (a.y() == b.y()) {
      continue;
    }
    const auto first = static_cast<std::size_t>(std::ceil((a.y() - flanks.bottom_m) / kTable_m));
    for (std::size_t i = first; i < n; ++i) {
      const double z_m = flanks.bottom_m + static_cast<double>(i) * kTable_m;
      if (z_m > b.y()) {
        break;
      }
      const double y_m = a.x() + (b.x() - a.x()) * (z_m - a.y()) / (b.y() - a.y());
      flanks.left_m[i] = std::max(flanks.left_m[i], y_m);
      flanks.right_m[i] = std::min(flanks.right_m[i], y_m);
    }
  }
  return flanks;
}

class Exhaustive {
 public:
  Exhaustive(const LogModel& log, const solver::Target& target, const solver::SearchOptions& options)
      : target_(target), options_(options) {
    for (const Station& station : log.stations) {
      x_m_.push_back(station.x_m);
      outlines_.push_back(planning_outline_m(station, options.sigmas));
    }
  }

  ExhaustiveAnswer search() {
    ExhaustiveAnswer best;
    std::vector<Cell> cells = everywhere(kRounds[0]);
    for (std::size_t r = 0; r < std::size(kRounds); ++r) {
      const Round& round = kRounds[r];
      std::vector<Score> scores = scores_of(cells, round);
      const std::size_t kept = std::min(round.keep, scores.size());
      std::partial_sort(scores.begin(), scores.begin() + static_cast<std::ptrdiff_t>(kept), scores.end());
      scores.resize(kept);
      for (const Score& score : scores) {
        if (r + 1 == std::size(kRounds) && score.boards > best.boards) {
          best = {score.boards, score.cell.first * round.roll_step_rad,
                  score.cell.second * round.rise_step_m};
        }
      }
      if (r + 1 < std::size(kRounds)) {
        cells = around(scores, round, kRounds[r + 1]);
      }
    }
    return best;
  }

 private:
  static std::vector<Cell> everywhere(const Round& round) {
    std::vector<Cell> cells;
    const auto rises = static_cast<int>(kMostRise_m / round.rise_step_m);
    for (int roll = 0; roll * round.roll_step_rad < pi; ++roll) {
      for (int rise = -rises; rise <= rises; ++rise) {
        cells.emplace_back(roll, rise);
      }
    }
    return cells;
  }

  static std::vector<Cell> around(const std::vector<Score>& scores, const Round& from, const Round& to) {
    std::vector<Cell> cells;
    for (const Score& score : scores) {
      const double roll = score.cell.first * from.roll_step_rad / to.roll_step_rad;
      const double rise = score.cell.second * from.rise_step_m / to.rise_step_m;
      const double rolls = from.roll_step_rad / to.roll_step_rad / 2;
      const double rises = from.rise_step_m / to.rise_step_m / 2;
      for (auto i = static_cast<int>(std::floor(roll - rolls)); i <= std::ceil(roll + rolls); ++i) {
        for (auto j = static_cast<int>(std::floor(rise - rises)); j <= std::ceil(rise + rises); ++j) {
          cells.emplace_back(i, j);
        }
      }
    }
    std::sort(cells.begin(), cells.end());
    cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
    return cells;
  }

  std::vector<Score> scores_of(const std::vector<Cell>& cells, const Round& round) {
    std::vector<Score> scores;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (i == 0 || cells[i].first != cells[i - 1].first) {
        turn(cells[i].first * round.roll_step_rad, round.stride);
      }
      const double pitch = cells[i].second * round.rise_step_m / x_m_.back();
      Score score{boards_at(pitch, round, 0), 0, cells[i]};
      score.promised = round.smaller_m > 0 ? boards_at(pitch, round, round.smaller_m) : score.boards;
      scores.push_back(score);
    }
    return scores;
  }

  void turn(double roll_rad, std::size_t stride) {
    Eigen::Matrix2d rotation;
    rotation << std::cos(roll_rad), -std::sin(roll_rad), std::sin(roll_rad), std::cos(roll_rad);
    flanks_.clear();
    stations_m_.clear();
    for (std::size_t i = 0; i < outlines_.size(); ++i) {
      if (i % stride == 0 || i + 1 == outlines_.size()) {
        flanks_.push_back(flanks_of(outlines_[i] * rotation.transpose()));
        stations_m_.push_back(x_m_[i]);
      }
    }
  }

  /// Most boards over all heights of the stack, each board smaller all round, the stack's spacing the same.
  int boards_at(double pitch, const Round& round, double smaller_m) {
    double bottom_m = 1;
    double top_m = -1;
    for (const Flanks& f : flanks_) {
      bottom_m = std::min(bottom_m, f.bottom_m);
      top_m = std::max(top_m, f.top_m);
    }
    const double stretch = std::sqrt(1 + pitch * pitch);
    const double spacing_m = (target_.thickness_m + options_.kerf_m) * stretch;
    const double inset_m = smaller_m * stretch;
    int most = 0;
    for (double phase_m = 0; phase_m < spacing_m; phase_m += round.height_step_m) {
      int boards = 0;
      for (double low_m = bottom_m - spacing_m + phase_m; low_m < top_m; low_m += spacing_m) {
        boards += layer_boards({low_m + inset_m, low_m + target_.thickness_m * stretch - inset_m}, pitch,
                               round.places, smaller_m);
      }
      most = std::max(most, boards);
    }
    return most;
  }

  struct Slab {
    double low_m;
    double high_m;
  };

  int layer_boards(const Slab& slab, double pitch, int places, double smaller_m) {
    const double usable_m = x_m_.back();
    const std::size_t n = flanks_.size();
    left_m_.assign(n, -1);
    right_m_.assign(n, 1);
    for (std::size_t s = 0; s < n; ++s) {
      const Flanks& f = flanks_[s];
      const double rise_m = pitch * (stations_m_[s] - usable_m / 2);
      const double low_m = slab.low_m + rise_m;
      const double high_m = slab.high_m + rise_m;
      if (low_m >= f.bottom_m && high_m <= f.top_m) {  // convex: the room is least at one of the faces
        left_m_[s] = std::min(f.at(f.left_m, low_m), f.at(f.left_m, high_m));
        right_m_[s] = std::max(f.at(f.right_m, low_m), f.at(f.right_m, high_m));
      }
    }
    const double slack_m = usable_m - target_.length_m;
    int most = 0;
    for (int place = 0; place < places; ++place) {
      const double from_m = slack_m * place / (places - 1);
      const double width_m = strip_width_m(from_m, smaller_m);
      const double gap_m = options_.rip_kerf_m + 2 * smaller_m;
      const double board_m = target_.width_m - 2 * smaller_m;
      most = std::max(most, static_cast<int>(std::max(0.0, (width_m + gap_m) / (board_m + gap_m))));
    }
    return most;
  }

  /// Widest straight strip between two x, over its slope in the layer; not more than a board if none fits.
  double strip_width_m(double from_m, double smaller_m) {
    std::size_t first = 0;
    while (first + 1 < stations_m_.size() && stations_m_[first + 1] <= from_m - kEnds_m) {
      ++first;  // the last station before the board's end: sections are linear between stations
    }
    std::size_t last = first;
    double least_m = 1;
    for (;; ++last) {
      least_m = std::min(least_m, left_m_[last] - right_m_[last]);
      if (last + 1 == stations_m_.size() || stations_m_[last] >= from_m + target_.length_m + kEnds_m) {
        break;
      }
    }
    if (least_m < target_.width_m - 2 * smaller_m) {
      return 0;
    }
    const auto width_at = [&](double yaw) {
      double high_m = 1;
      double low_m = -1;
      for (std::size_t s = first; s <= last; ++s) {
        const double off_m = yaw * (stations_m_[s] - from_m);
        high_m = std::min(high_m, left_m_[s] - off_m);
        low_m = std::max(low_m, right_m_[s] - off_m);
      }
      return (high_m - low_m) / std::sqrt(1 + yaw * yaw);
    };
    return widest(width_at);
  }

  /// Golden section: the width is (all but) concave in the slope.
  template <typename Width>
  static double widest(const Width& width_at) {
    constexpr double kGolden = 0.6180339887498949;
    double a = -kMostYaw;
    double b = kMostYaw;
    double c = b - kGolden * (b - a);
    double d = a + kGolden * (b - a);
    double at_c = width_at(c);
    double at_d = width_at(d);
    for (int i = 0; i < kYawRounds; ++i) {
      if (at_c > at_d) {
        b = std::exchange(d, c);
        at_d = at_c;
        c = b - kGolden * (b - a);
        at_c = width_at(c);
      } else {
        a = std::exchange(c, d);
        at_c = at_d;
        d = a + kGolden * (b - a);
        at_d = width_at(d);
      }
    }
    return std::max(at_c, at_d);
  }

  solver::Target target_;
  solver::SearchOptions options_;
  std::vector<double> x_m_;
  std::vector<Eigen::MatrixX2d> outlines_;
  std::vector<Flanks> flanks_;      ///< of the stations looked at, turned
  std::vector<double> stations_m_;  ///< their x
  std::vector<double> left_m_;      ///< room of the layer under way
  std::vector<double> right_m_;
};

}  // namespace

ExhaustiveAnswer most_boards_exhaustive(const LogModel& log, const solver::Target& target,
                                        const solver::SearchOptions& search) {
  return Exhaustive(log, target, search).search();
}

}  // namespace flitchwise::test
