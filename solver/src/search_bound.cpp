#include "search_bound.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

constexpr float kOutside = 1000;      // metres: no room at all at this height
constexpr float kRounding_m = 2e-6F;  // of single-precision tables and sums
constexpr int kStepsPerStart = 4;     // table steps between two starts of a layer
constexpr std::size_t kLanes = 64;    // starts that are worked on together, so that they stay in the cache
constexpr int kYawCuts = 5;           // cutting planes a yaw bound gets; more would tighten it by micrometres
constexpr double kPiecePerStep =
    800;  // places along the log: the taper over a piece is about the step's size
constexpr double kLeastPiece_m = 0.03;  // about the stations' spacing
constexpr int kMostPieces = 64;

/// Radius at any angle, linear between the samples; never below the polygon, whose sides bend inwards of it.
double radius_at(const Eigen::ArrayXd& radius, double index) {
  const auto n = static_cast<double>(radius.size());
  const double wrapped = index - n * std::floor(index / n);
  const auto k = static_cast<Eigen::Index>(wrapped) % radius.size();
  const double u = wrapped - std::floor(wrapped);
  return (1 - u) * radius[k] + u * radius[(k + 1) % radius.size()];
}

/// Radii of a polygon that covers the section turned by any angle within +-half.
Eigen::ArrayXd swept_radii(const Eigen::ArrayXd& radius, double half_rad) {
  if (half_rad == 0) {
    return radius;
  }
  const Eigen::Index n = radius.size();
  const double reach = half_rad * static_cast<double>(n) / (2 * pi);
  const auto whole = static_cast<Eigen::Index>(std::floor(reach));
  Eigen::ArrayXd swept(n);
  double bend = 0;  // how far the linear radius can rise between two samples above their mean: see SEARCH.md
  for (Eigen::Index k = 0; k < n; ++k) {
    const auto at = static_cast<double>(k);
    double most = std::max(radius_at(radius, at - reach), radius_at(radius, at + reach));
    for (Eigen::Index j = k - whole; j <= k + whole; ++j) {
      most = std::max(most, radius[((j % n) + n) % n]);
    }
    swept[k] = most;
    bend = std::max(bend, (2 * radius[k] - radius[(k + 1) % n] - radius[(k + n - 1) % n]) / 4);
  }
  return (swept + bend) / std::cos(pi / static_cast<double>(n));
}

}  // namespace

RollTables::RollTables(const Job& job, const Span& roll, std::size_t stride, double step_m)
    : job_(&job), step_m_(step_m) {
  const auto& stations = job.solid.stations;
  for (std::size_t i = 0; i < stations.size(); i += stride) {
    tables_.push_back(table_of(stations[i], roll));
  }
}

RollTables::Table RollTables::table_of(const Section& section, const Span& roll) {
  Table table;
  table.x_m = section.x_m - job_->solid.pivot_x_m;
  const Eigen::Vector2d centre = section.centre_m - job_->solid.middle_m;
  const double c = std::cos(roll.middle);
  const double s = std::sin(roll.middle);
  const Eigen::Vector2d turned(c * centre.x() - s * centre.y(), s * centre.x() + c * centre.y());
  const double sin_half = std::sin(roll.half);
  const double fall = 1 - std::cos(roll.half);
  const double z_move = std::abs(turned.x()) * sin_half + std::abs(turned.y()) * fall;
  const double y_move = std::abs(turned.y()) * sin_half + std::abs(turned.x()) * fall;
  table.z_low_m = turned.y() - z_move;
  table.z_high_m = turned.y() + z_move;
  table.y_low_m = turned.x() - y_move;
  table.y_high_m = turned.x() + y_move;

  const Eigen::ArrayXd radius = swept_radii(section.radius_m, roll.half);
  movement_m_ = std::max(movement_m_, centre.norm() * sin_half + (radius - section.radius_m).maxCoeff());
  const double reach = radius.maxCoeff();
  const auto entries = static_cast<std::size_t>(std::ceil(2 * reach / step_m_)) + 2;
  table.bottom_m = -step_m_ * static_cast<double>(entries) / 2;
  table.high_m.assign(entries, -kOutside);
  table.low_m.assign(entries, kOutside);
  const Eigen::Index n = radius.size();
  const auto corner = [&](Eigen::Index k) {
    const double angle = 2 * pi * static_cast<double>(k % n) / static_cast<double>(n) + roll.middle;
    return Eigen::Vector2d(radius[k % n] * std::cos(angle), radius[k % n] * std::sin(angle));
  };
  Eigen::Vector2d to = corner(0);
  for (Eigen::Index k = 0; k < n; ++k) {
    const Eigen::Vector2d from = to;
    to = corner(k + 1);
    const Eigen::Vector2d& under = from.y() < to.y() ? from : to;
    const Eigen::Vector2d& over = from.y() < to.y() ? to : from;
    const double slope = over.y() > under.y() ? (over.x() - under.x()) / (over.y() - under.y()) : 0;
    const auto first = static_cast<std::size_t>((under.y() - table.bottom_m) / step_m_);
    const auto last = static_cast<std::size_t>((over.y() - table.bottom_m) / step_m_);
    for (std::size_t i = first; i <= last; ++i) {
      const double z0 = table.bottom_m + step_m_ * static_cast<double>(i);
      const double y0 = i == first ? under.x() : under.x() + slope * (z0 - under.y());
      const double y1 = i == last ? over.x() : under.x() + slope * (z0 + step_m_ - under.y());
      table.high_m[i] = std::max(table.high_m[i], static_cast<float>(std::max(y0, y1)));
      table.low_m[i] = std::min(table.low_m[i], static_cast<float>(std::min(y0, y1)));
    }
  }
  return table;
}

/// One call of most_boards: the limits of the cell, then the counts of all starts, then the best stack.
class StackBound {
 public:
  StackBound(const RollTables& tables, const Span& pitch, double shrunk_m);
  RollTables::Answer most(int enough);

 private:
  /// Stations that every place of a piece covers.
  struct Piece {
    std::size_t first = 0;
    std::size_t end = 0;
  };
  using Lanes = std::array<float, kLanes>;
  struct Slope {
    Lanes yaw;
    Lanes room;
    Lanes slope;
  };

  void find_pieces(std::size_t window);
  Piece core(double first_middle_m, double last_middle_m) const;
  void find_starts();
  void count_window(bool with_yaw);
  void count_lanes(std::size_t start, bool with_yaw);
  void fill(const RollTables::Table& table, std::size_t start, float* low, float* high) const;
  void narrowest(const Piece& piece, Lanes& room) const;
  void yawed(const Piece& piece, Lanes& room) const;
  void slope_at(const Piece& piece, Slope& at) const;
  int boards_in(float room_m) const;
  RollTables::Answer best_stack() const;

  const RollTables& tables_;
  const Job& job_;
  Span pitch_;
  double shrunk_m_;
  double least_sec_;  // sqrt(1 + pitch^2), least and most in the cell
  double most_sec_;
  double most_yaw_;
  double spacing_m_;        // of planes, vertical, at the middle pitch
  double spacing_slack_m_;  // what the spacing of the whole stack may differ from that in the cell
  double lateral_slack_m_;
  double start_m_ = 0;  // lowest start
  double start_step_m_;
  std::size_t starts_ = 0;
  std::vector<Piece> pieces_;
  std::size_t first_used_ = 0;  // stations that any piece of the window uses
  std::size_t end_used_ = 0;
  std::vector<int> window_counts_;
  std::vector<int> counts_;  // by start: most boards of a layer that starts in [start, start + step]
  std::vector<float> low_;   // [station][lane]
  std::vector<float> high_;
};

StackBound::StackBound(const RollTables& tables, const Span& pitch, double shrunk_m)
    : tables_(tables), job_(*tables.job_), pitch_(pitch), shrunk_m_(shrunk_m) {
  const double most_pitch = std::abs(pitch.middle) + pitch.half;
  const double least_pitch = std::max(0.0, std::abs(pitch.middle) - pitch.half);
  most_sec_ = std::sqrt(1 + most_pitch * most_pitch);
  least_sec_ = std::sqrt(1 + least_pitch * least_pitch);
  const Target& target = job_.target;
  constexpr double kLeastRun = 0.9;  // a place covers at least this share of a board's length
  const double most_shift_m = 2 * job_.solid.reach_m + 2 * std::abs(shrunk_m) - target.width_m;
  most_yaw_ = std::clamp(most_shift_m / (kLeastRun * target.length_m), 0.0, kMostYaw);
  spacing_m_ = (target.thickness_m + job_.options.kerf_m) * std::sqrt(1 + pitch.middle * pitch.middle);
  const double layers = std::ceil(2 * (job_.solid.reach_m + most_pitch * job_.solid.usable_m) / spacing_m_);
  spacing_slack_m_ = layers * (target.thickness_m + job_.options.kerf_m) * (most_sec_ - least_sec_);
  lateral_slack_m_ = most_yaw_ * most_pitch * target.thickness_m + kRounding_m;
  start_step_m_ = kStepsPerStart * tables.step_m_;
}

StackBound::Piece StackBound::core(double first_middle_m, double last_middle_m) const {
  // Over this length a board has its whole section, however it is turned within the cell.
  const double turned = 1 / (most_sec_ * std::sqrt(1 + most_yaw_ * most_yaw_));
  const double most_pitch = std::abs(pitch_.middle) + pitch_.half;
  const double whole_m = job_.target.length_m * turned - job_.target.thickness_m * most_pitch -
                         job_.target.width_m * most_yaw_ - 2 * std::max(0.0, shrunk_m_);
  const double from_m = last_middle_m - whole_m / 2 - job_.solid.pivot_x_m;
  const double to_m = first_middle_m + whole_m / 2 - job_.solid.pivot_x_m;
  const auto& tables = tables_.tables_;
  const auto before = [](const RollTables::Table& t, double x) { return t.x_m < x; };
  const auto first = std::lower_bound(tables.begin(), tables.end(), from_m, before);
  const auto end = std::lower_bound(first, tables.end(), to_m, before);
  return {static_cast<std::size_t>(first - tables.begin()), static_cast<std::size_t>(end - tables.begin())};
}

void StackBound::find_pieces(std::size_t window) {
  const double turned = 1 / (most_sec_ * std::sqrt(1 + most_yaw_ * most_yaw_));
  const double length_m = job_.target.length_m * turned;
  const double pitch_m = length_m + job_.options.crosscut_kerf_m;
  const double ends_m = std::max(0.0, shrunk_m_);
  const auto before = static_cast<double>(window);
  const auto behind = static_cast<double>(job_.windows - 1 - window);
  const double first_m = length_m / 2 - ends_m + before * pitch_m;
  const double last_m = job_.solid.usable_m + ends_m - length_m / 2 - behind * pitch_m;
  const double piece_m = std::max(kLeastPiece_m, kPiecePerStep * tables_.step_m_);
  const int count = std::clamp(static_cast<int>(std::ceil((last_m - first_m) / piece_m)), 1, kMostPieces);
  pieces_.clear();
  first_used_ = tables_.tables_.size();
  end_used_ = 0;
  for (int i = 0; i < count; ++i) {
    const double step = (last_m - first_m) / count;
    pieces_.push_back(core(first_m + i * step, first_m + (i + 1) * step));
    if (pieces_.back().first < pieces_.back().end) {
      first_used_ = std::min(first_used_, pieces_.back().first);
      end_used_ = std::max(end_used_, pieces_.back().end);
    }
  }
}

void StackBound::find_starts() {
  double low_m = kOutside;
  double high_m = -kOutside;
  for (const RollTables::Table& t : tables_.tables_) {
    const double height_m = static_cast<double>(t.high_m.size()) * tables_.step_m_;
    const double rise_m = pitch_.middle * t.x_m;
    low_m = std::min(low_m, t.z_low_m + t.bottom_m - rise_m);
    high_m = std::max(high_m, t.z_high_m + t.bottom_m + height_m - rise_m);
  }
  start_m_ = low_m - spacing_m_;
  starts_ = static_cast<std::size_t>((high_m - start_m_) / start_step_m_) + 1;
  starts_ = (starts_ + kLanes - 1) / kLanes * kLanes;
}

/// The widest that the outline leaves at both faces of the layer, whatever the cell's pitch, roll and start.
void StackBound::fill(const RollTables::Table& table, std::size_t start, float* low, float* high) const {
  const double rise_m = pitch_.middle * table.x_m;
  const double tilt_m = pitch_.half * std::abs(table.x_m);
  const double z_m = start_m_ + static_cast<double>(start) * start_step_m_ - table.bottom_m;
  // Every layer that starts here holds all heights from `under` to `over`, counted from the table's bottom.
  const double under_m =
      z_m + start_step_m_ + rise_m + tilt_m + spacing_slack_m_ - table.z_low_m + shrunk_m_ * most_sec_;
  const double over_m = z_m + rise_m - tilt_m - spacing_slack_m_ - table.z_high_m +
                        (job_.target.thickness_m - shrunk_m_) * least_sec_;
  // A cell too coarse for that: every layer holds at least one height between the two.
  const auto at_under = static_cast<std::ptrdiff_t>(std::floor(under_m / tables_.step_m_));
  const auto at_over = static_cast<std::ptrdiff_t>(std::floor(over_m / tables_.step_m_));
  const auto last = static_cast<std::ptrdiff_t>(table.high_m.size()) - 1;
  const auto y_low = static_cast<float>(table.y_low_m);
  const auto y_high = static_cast<float>(table.y_high_m);
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    const auto moved = static_cast<std::ptrdiff_t>(lane) * kStepsPerStart;
    const std::ptrdiff_t u = std::clamp(at_under + moved, std::ptrdiff_t{0}, last);
    const std::ptrdiff_t o = std::clamp(at_over + moved, std::ptrdiff_t{0}, last);
    const float* h = table.high_m.data();
    const float* l = table.low_m.data();
    if (under_m <= over_m) {
      high[lane] = y_high + std::min(h[u], h[o]);
      low[lane] = y_low + std::max(l[u], l[o]);
    } else {
      high[lane] = y_high + *std::max_element(h + o, h + u + 1);
      low[lane] = y_low + *std::min_element(l + o, l + u + 1);
    }
  }
}

void StackBound::narrowest(const Piece& piece, Lanes& room) const {
  room.fill(kOutside);
  for (std::size_t s = piece.first; s < piece.end; ++s) {
    const float* low = &low_[(s - first_used_) * kLanes];
    const float* high = &high_[(s - first_used_) * kLanes];
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const float width = high[lane] - low[lane];
      room[lane] = width < room[lane] ? width : room[lane];
    }
  }
}

void StackBound::slope_at(const Piece& piece, Slope& at) const {
  Lanes least_high;
  Lanes most_low;
  Lanes x_high{};
  Lanes x_low{};
  least_high.fill(kOutside);
  most_low.fill(-kOutside);
  for (std::size_t s = piece.first; s < piece.end; ++s) {
    const float* low = &low_[(s - first_used_) * kLanes];
    const float* high = &high_[(s - first_used_) * kLanes];
    const auto x = static_cast<float>(tables_.tables_[s].x_m);
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const float lean = x * at.yaw[lane];
      const float h = high[lane] - lean;
      const float l = low[lane] - lean;
      const bool is_least = h < least_high[lane];
      const bool is_most = l > most_low[lane];
      least_high[lane] = is_least ? h : least_high[lane];
      x_high[lane] = is_least ? x : x_high[lane];
      most_low[lane] = is_most ? l : most_low[lane];
      x_low[lane] = is_most ? x : x_low[lane];
    }
  }
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    at.room[lane] = least_high[lane] - most_low[lane];
    at.slope[lane] = x_low[lane] - x_high[lane];
  }
}

/// Upper bound of the concave room(yaw): two tangents meet above it. `room` is only ever lowered.
void StackBound::yawed(const Piece& piece, Lanes& room) const {
  Slope left;
  Slope right;
  Slope at;
  const auto limit = static_cast<float>(most_yaw_ + 1e-3);
  left.yaw.fill(-limit);
  right.yaw.fill(limit);
  slope_at(piece, left);
  slope_at(piece, right);
  for (int cut = 0; cut <= kYawCuts; ++cut) {
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const float bend = left.slope[lane] - right.slope[lane];
      const bool meet = left.slope[lane] > 0 && right.slope[lane] < 0;
      const float over = right.room[lane] - left.room[lane] + left.slope[lane] * left.yaw[lane] -
                         right.slope[lane] * right.yaw[lane];
      const float yaw = meet ? over / bend : (left.slope[lane] > 0 ? right.yaw[lane] : left.yaw[lane]);
      const float bound = meet ? left.room[lane] + left.slope[lane] * (yaw - left.yaw[lane])
                               : std::max(left.room[lane], right.room[lane]);
      at.yaw[lane] = yaw;
      room[lane] = std::min(room[lane], bound);
    }
    if (cut == kYawCuts) {
      return;
    }
    slope_at(piece, at);
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const bool rising = at.slope[lane] > 0;
      Slope& side = rising ? left : right;
      side.yaw[lane] = at.yaw[lane];
      side.room[lane] = at.room[lane];
      side.slope[lane] = at.slope[lane];
    }
  }
}

int StackBound::boards_in(float room_m) const {
  // n boards shrunk on every side, with kerfs that much larger, take n width + (n - 1) kerf - 2 shrunk.
  const double free_m =
      static_cast<double>(room_m) + lateral_slack_m_ + 2 * shrunk_m_ + job_.options.rip_kerf_m;
  return std::max(0, static_cast<int>(std::floor(free_m / (job_.target.width_m + job_.options.rip_kerf_m))));
}

void StackBound::count_lanes(std::size_t start, bool with_yaw) {
  for (std::size_t s = first_used_; s < end_used_; ++s) {
    fill(tables_.tables_[s], start, &low_[(s - first_used_) * kLanes], &high_[(s - first_used_) * kLanes]);
  }
  for (const Piece& piece : pieces_) {
    Lanes room;
    if (piece.first >= piece.end) {
      room.fill(static_cast<float>(job_.solid.largest_width_m + 2 * tables_.movement_m_));
    } else {
      narrowest(piece, room);
    }
    const auto gains = [&] {
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        if (boards_in(room[lane]) > window_counts_[start + lane]) {
          return true;
        }
      }
      return false;
    };
    if (!gains()) {
      continue;
    }
    if (with_yaw && piece.first < piece.end) {
      yawed(piece, room);
    }
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      window_counts_[start + lane] = std::max(window_counts_[start + lane], boards_in(room[lane]));
    }
  }
}

void StackBound::count_window(bool with_yaw) {
  window_counts_.assign(starts_, 0);
  const std::size_t used = end_used_ > first_used_ ? end_used_ - first_used_ : 0;
  low_.resize(used * kLanes);
  high_.resize(used * kLanes);
  for (std::size_t start = 0; start < starts_; start += kLanes) {
    count_lanes(start, with_yaw);
  }
  for (std::size_t i = 0; i < starts_; ++i) {
    counts_[i] += window_counts_[i];
  }
}

/// Every height of the stack at once. With the lowest layer's start at start_m_ + i step + rest, 0 <= rest <
/// step, layer j starts in interval i + floor((j spacing + rest) / step): it moves on once while rest grows.
RollTables::Answer StackBound::best_stack() const {
  struct Move {
    double at_m = 0;
    std::size_t layer = 0;
  };
  std::vector<std::size_t> base;
  std::vector<Move> moves;
  for (std::size_t j = 0;; ++j) {
    const double from = static_cast<double>(j) * spacing_m_ / start_step_m_;
    base.push_back(static_cast<std::size_t>(from));
    if (base.back() >= starts_) {
      break;
    }
    moves.push_back({(1 - (from - std::floor(from))) * start_step_m_, j});
  }
  base.pop_back();
  std::sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) { return a.at_m < b.at_m; });
  const auto at = [&](std::size_t i) { return i < starts_ ? counts_[i] : 0; };
  RollTables::Answer best;
  double run_from_m = 0;
  double best_run_m = -1;
  int last = -1;
  const auto see = [&](int boards, double from_m, double to_m) {
    run_from_m = boards == last ? run_from_m : from_m;
    last = boards;
    const double run_m = to_m - run_from_m;
    if (boards > best.boards || (boards == best.boards && run_m > best_run_m)) {
      best = {boards, (run_from_m + to_m) / 2};  // the middle of the longest run of heights is the safest
      best_run_m = run_m;
    }
  };
  const auto rows = static_cast<std::size_t>(std::ceil(spacing_m_ / start_step_m_));
  for (std::size_t i = 0; i < rows; ++i) {
    int boards = 0;
    for (const std::size_t j : base) {
      boards += at(i + j);
    }
    const double row_m = start_m_ + static_cast<double>(i) * start_step_m_;
    double from_m = 0;
    for (const Move& move : moves) {
      see(boards, row_m + from_m, row_m + move.at_m);
      from_m = move.at_m;
      boards += at(i + base[move.layer] + 1) - at(i + base[move.layer]);
    }
    see(boards, row_m + from_m, row_m + start_step_m_);
  }
  return best;
}

RollTables::Answer StackBound::most(int enough) {
  find_starts();
  RollTables::Answer answer;
  for (const bool with_yaw : {false, true}) {
    counts_.assign(starts_, 0);
    for (std::size_t window = 0; window < job_.windows; ++window) {
      find_pieces(window);
      count_window(with_yaw);
    }
    answer = best_stack();
    if (answer.boards <= enough) {
      break;
    }
  }
  return answer;
}

RollTables::Answer RollTables::most_boards(const Span& pitch, double shrunk_m, int enough) const {
  return StackBound(*this, pitch, shrunk_m).most(enough);
}

}  // namespace flitchwise::solver
