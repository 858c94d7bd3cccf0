#include "search_bound.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace flitchwise::solver {
namespace {

constexpr float kRounding_m = 2e-6F;  // of single-precision tables and sums
constexpr std::size_t kLanes = 64;    // layers that are worked on together, so that they stay in the cache
constexpr int kYawCuts = 5;           // cutting planes a yaw bound gets; more would tighten it by micrometres
constexpr double kPiecePerWidth =
    800;  // places along the log: finer pieces cost more than their tighter bound saves
constexpr double kLeastPiece_m = 0.03;  // about the stations' spacing
constexpr double kMostPieces = 64;

}  // namespace

/// One call of most_boards: its layers, one for each stretch of phases and each number in the stack, are the
/// lanes. Every look at more stations or at the yaw drops the stretches that no longer give enough.
class StackBound {
 public:
  StackBound(const RollTables& tables, const Span& pitch, double shrunk_m);
  void spread(const std::vector<Range>& phases, double phase_step_m);
  RollTables::Answer most(int enough);

 private:
  /// A short range of phases. All layers of a stack whose phase lies in it start within `width_m_` of a lane.
  struct Stretch {
    Range phases;
    int boards = 0;
  };
  struct Lane {
    std::ptrdiff_t step = 0;  ///< the layer starts at or above step x table step
    std::size_t stretch = 0;
    int boards = 0;
  };
  /// Stations that every place of a piece covers.
  struct Piece {
    std::size_t first = 0;
    std::size_t end = 0;
  };
  /// The middles that a window may have, in pieces.
  struct Places {
    double first_m = 0;
    double step_m = 0;
    int count = 1;
  };
  using Row = std::array<float, kLanes>;
  using Counts = std::array<int, kLanes>;
  struct Slope {
    Row yaw;
    Row room;
    Row slope;
  };
  /// What is looked at: every stride-th station, with or without the yaw.
  struct Look {
    std::size_t stride = 1;
    bool yaw = false;
  };

  void find_places(std::size_t window, std::size_t stride);
  Piece core(double first_middle_m, double last_middle_m) const;
  void count(const Look& look);
  void count_block(std::size_t first_lane, bool with_yaw);
  void count_pieces(int from, int to, Row room, bool with_yaw, Counts& most) const;
  void fill(const RollTables::Table& table, std::size_t first_lane, float* low, float* high) const;
  void narrowest(const Piece& piece, Row& room) const;
  void yawed(const Piece& piece, Row& room) const;
  void slope_at(const Piece& piece, Slope& at) const;
  int boards_in(float room_m) const;
  void drop(int enough);

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
  double width_m_ = 0;  // of a lane's starts
  std::vector<Stretch> stretches_;
  std::vector<Lane> lanes_;
  Places pieces_;
  std::vector<std::size_t> used_;  // tables that are looked at
  std::vector<float> low_;         // [station][lane of the block]
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
  const double square_m = target.thickness_m + job_.options.kerf_m;
  spacing_m_ = square_m * std::sqrt(1 + pitch.middle * pitch.middle);
  const double layers =
      std::ceil((2 * job_.solid.reach_m + most_pitch * job_.solid.usable_m) / spacing_m_) + 1;
  spacing_slack_m_ = layers * square_m * (most_sec_ - least_sec_);
  lateral_slack_m_ = most_yaw_ * most_pitch * target.thickness_m + kRounding_m;
}

void StackBound::spread(const std::vector<Range>& phases, double phase_step_m) {
  for (const Range& range : phases) {
    const auto parts = std::max(1.0, std::ceil((range.high_m - range.low_m) / phase_step_m - 1e-9));
    const double part_m = (range.high_m - range.low_m) / parts;
    for (int i = 0; i < static_cast<int>(parts); ++i) {
      stretches_.push_back({{range.low_m + i * part_m, range.low_m + (i + 1) * part_m}});
      width_m_ = std::max(width_m_, part_m);
    }
  }
  width_m_ += tables_.step_m_;  // starts are rounded down to whole steps
  // Beyond this no layer meets the wood at any station.
  const double high_m = job_.solid.reach_m + job_.solid.middle_m.norm() + std::abs(shrunk_m_) + width_m_ +
                        (std::abs(pitch_.middle) + pitch_.half) * job_.solid.usable_m / 2;
  const double low_m = -high_m - spacing_m_;
  for (std::size_t i = 0; i < stretches_.size(); ++i) {
    const double phase_m = stretches_[i].phases.low_m;
    const auto first = static_cast<int>(std::floor((low_m - phase_m) / spacing_m_));
    for (int layer = first; phase_m + layer * spacing_m_ < high_m; ++layer) {
      const double start_m = phase_m + layer * spacing_m_;
      lanes_.push_back({static_cast<std::ptrdiff_t>(std::floor(start_m / tables_.step_m_)), i});
    }
  }
}

StackBound::Piece StackBound::core(double first_middle_m, double last_middle_m) const {
  // Over this length a board has its whole section, however it is turned within the cell.
  const double turned = 1 / (most_sec_ * std::sqrt(1 + most_yaw_ * most_yaw_));
  const double most_pitch = std::abs(pitch_.middle) + pitch_.half;
  const double whole_m = job_.target.length_m * turned - job_.target.thickness_m * most_pitch -
                         job_.target.width_m * most_yaw_ - 2 * std::max(0.0, shrunk_m_);
  const double from_m = last_middle_m - whole_m / 2 - job_.solid.pivot_x_m;
  const double to_m = first_middle_m + whole_m / 2 - job_.solid.pivot_x_m;
  const auto before = [&](std::size_t i, double x) { return tables_.x_m(i) < x; };
  const auto first = std::lower_bound(used_.begin(), used_.end(), from_m, before);
  const auto end = std::lower_bound(first, used_.end(), to_m, before);
  return {static_cast<std::size_t>(first - used_.begin()), static_cast<std::size_t>(end - used_.begin())};
}

void StackBound::find_places(std::size_t window, std::size_t stride) {
  const double turned = 1 / (most_sec_ * std::sqrt(1 + most_yaw_ * most_yaw_));
  const double length_m = job_.target.length_m * turned;
  const double pitch_m = length_m + job_.options.crosscut_kerf_m;
  const double ends_m = std::max(0.0, shrunk_m_);
  const auto before = static_cast<double>(window);
  const auto behind = static_cast<double>(job_.windows - 1 - window);
  const double first_m = length_m / 2 - ends_m + before * pitch_m;
  const double last_m = job_.solid.usable_m + ends_m - length_m / 2 - behind * pitch_m;
  const double piece_m = std::max(kLeastPiece_m, kPiecePerWidth * width_m_);
  const double count = std::clamp(std::ceil((last_m - first_m) / piece_m), 1.0, kMostPieces);
  pieces_ = {first_m, (last_m - first_m) / count, static_cast<int>(count)};
  used_.clear();
  const double reach_m = job_.target.length_m / 2;
  for (std::size_t i = 0; i < tables_.tables_.size(); i += stride) {
    const double x_m = tables_.x_m(i) + job_.solid.pivot_x_m;
    if (x_m >= first_m - reach_m && x_m <= last_m + reach_m) {
      used_.push_back(i);
    }
  }
}

/// The widest that the outline leaves at both faces of the layer, whatever the cell's pitch, roll and start.
void StackBound::fill(const RollTables::Table& table, std::size_t first_lane, float* low, float* high) const {
  const double rise_m = pitch_.middle * table.x_m;
  const double tilt_m = pitch_.half * std::abs(table.x_m);
  // Every layer of a lane holds all heights from `under` to `over`, counted from its start and the table's
  // bottom.
  const double under_m =
      width_m_ + rise_m + tilt_m + spacing_slack_m_ - table.z_low_m + shrunk_m_ * most_sec_ - table.bottom_m;
  const double over_m = rise_m - tilt_m - spacing_slack_m_ - table.z_high_m +
                        (job_.target.thickness_m - shrunk_m_) * least_sec_ - table.bottom_m;
  const auto at_under = static_cast<std::ptrdiff_t>(std::floor(under_m / tables_.step_m_));
  const auto at_over = static_cast<std::ptrdiff_t>(std::floor(over_m / tables_.step_m_));
  const auto last = static_cast<std::ptrdiff_t>(table.high_m.size()) - 1;
  const auto y_low = static_cast<float>(table.y_low_m);
  const auto y_high = static_cast<float>(table.y_high_m);
  const float* h = table.high_m.data();
  const float* l = table.low_m.data();
  const std::size_t lanes = std::min(kLanes, lanes_.size() - first_lane);
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    const std::ptrdiff_t step = lanes_[first_lane + lane].step;
    const std::ptrdiff_t u = std::clamp(step + at_under, std::ptrdiff_t{0}, last);
    const std::ptrdiff_t o = std::clamp(step + at_over, std::ptrdiff_t{0}, last);
    if (at_under <= at_over) {
      high[lane] = y_high + std::min(h[u], h[o]);
      low[lane] = y_low + std::max(l[u], l[o]);
    } else {  // a cell too coarse for that: every layer holds at least one height between the two
      high[lane] = y_high + *std::max_element(h + o, h + u + 1);
      low[lane] = y_low + *std::min_element(l + o, l + u + 1);
    }
  }
}

void StackBound::narrowest(const Piece& piece, Row& room) const {
  for (std::size_t s = piece.first; s < piece.end; ++s) {
    const float* low = &low_[s * kLanes];
    const float* high = &high_[s * kLanes];
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const float width = high[lane] - low[lane];
      room[lane] = width < room[lane] ? width : room[lane];
    }
  }
}

void StackBound::slope_at(const Piece& piece, Slope& at) const {
  Row least_high;
  Row most_low;
  Row x_high{};
  Row x_low{};
  least_high.fill(kOutside);
  most_low.fill(-kOutside);
  for (std::size_t s = piece.first; s < piece.end; ++s) {
    const float* low = &low_[s * kLanes];
    const float* high = &high_[s * kLanes];
    const auto x = static_cast<float>(tables_.x_m(used_[s]));
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
void StackBound::yawed(const Piece& piece, Row& room) const {
  Slope left;
  Slope right;
  Slope at;
  const auto limit = static_cast<float>(most_yaw_ + 1e-3);
  left.yaw.fill(-limit);
  right.yaw.fill(limit);
  slope_at(piece, left);
  slope_at(piece, right);
  Row reached;
  for (std::size_t lane = 0; lane < kLanes; ++lane) {
    reached[lane] = std::max(left.room[lane], right.room[lane]);
  }
  for (int cut = 0; cut <= kYawCuts; ++cut) {
    bool settled = true;
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      const float bend = left.slope[lane] - right.slope[lane];
      const bool meet = left.slope[lane] > 0 && right.slope[lane] < 0;
      const float over = right.room[lane] - left.room[lane] + left.slope[lane] * left.yaw[lane] -
                         right.slope[lane] * right.yaw[lane];
      const float yaw = meet ? over / bend : (left.slope[lane] > 0 ? right.yaw[lane] : left.yaw[lane]);
      const float bound = meet ? left.room[lane] + left.slope[lane] * (yaw - left.yaw[lane]) : reached[lane];
      at.yaw[lane] = yaw;
      room[lane] = std::min(room[lane], bound);
      settled = settled && boards_in(room[lane]) <= boards_in(reached[lane]);
    }
    if (settled || cut == kYawCuts) {
      return;
    }
    slope_at(piece, at);
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      Slope& side = at.slope[lane] > 0 ? left : right;
      side.yaw[lane] = at.yaw[lane];
      side.room[lane] = at.room[lane];
      side.slope[lane] = at.slope[lane];
      reached[lane] = std::max(reached[lane], at.room[lane]);
    }
  }
}

int StackBound::boards_in(float room_m) const {
  // n boards shrunk on every side, with kerfs that much larger, take n width + (n - 1) kerf - 2 shrunk.
  const double free_m =
      static_cast<double>(room_m) + lateral_slack_m_ + 2 * shrunk_m_ + job_.options.rip_kerf_m;
  return std::max(0, static_cast<int>(free_m / (job_.target.width_m + job_.options.rip_kerf_m)));
}

/// Most boards over the pieces from..to - 1. `room` bounds them already; stations that all of them cover
/// lower it, and only if that leaves a gain on what other pieces gave are they looked at one by one.
void StackBound::count_pieces(int from, int to, Row room, bool with_yaw, Counts& most) const {
  const auto gains = [&] {
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      if (boards_in(room[lane]) > most[lane]) {
        return true;
      }
    }
    return false;
  };
  const Piece piece = core(pieces_.first_m + from * pieces_.step_m, pieces_.first_m + to * pieces_.step_m);
  if (piece.first < piece.end) {
    narrowest(piece, room);
    if (with_yaw && gains()) {
      yawed(piece, room);
    }
  }
  if (!gains()) {
    return;
  }
  if (to - from == 1) {
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
      most[lane] = std::max(most[lane], boards_in(room[lane]));
    }
    return;
  }
  const int middle = (from + to) / 2;
  count_pieces(middle, to, room, with_yaw, most);  // towards the large end first: most often the roomier half
  count_pieces(from, middle, room, with_yaw, most);
}

void StackBound::count_block(std::size_t first_lane, bool with_yaw) {
  const std::size_t lanes = std::min(kLanes, lanes_.size() - first_lane);
  for (std::size_t s = 0; s < used_.size(); ++s) {
    fill(tables_.table(used_[s]), first_lane, &low_[s * kLanes], &high_[s * kLanes]);
  }
  Row room;
  room.fill(static_cast<float>(2 * job_.solid.reach_m));
  std::fill(room.begin() + static_cast<std::ptrdiff_t>(lanes), room.end(), -kOutside);
  Counts most{};
  count_pieces(0, pieces_.count, room, with_yaw, most);
  for (std::size_t lane = 0; lane < lanes; ++lane) {
    lanes_[first_lane + lane].boards += most[lane];
  }
}

void StackBound::count(const Look& look) {
  for (Lane& lane : lanes_) {
    lane.boards = 0;
  }
  for (std::size_t window = 0; window < job_.windows; ++window) {
    find_places(window, look.stride);
    low_.assign(used_.size() * kLanes, kOutside);
    high_.assign(used_.size() * kLanes, -kOutside);
    for (std::size_t lane = 0; lane < lanes_.size(); lane += kLanes) {
      count_block(lane, look.yaw);
    }
  }
}

/// Forgets stretches that give no more than `enough`, and lanes that give nothing.
void StackBound::drop(int enough) {
  for (Stretch& stretch : stretches_) {
    stretch.boards = 0;
  }
  for (const Lane& lane : lanes_) {
    stretches_[lane.stretch].boards += lane.boards;
  }
  std::erase_if(lanes_, [&](const Lane& lane) {
    return lane.boards == 0 || stretches_[lane.stretch].boards <= enough;
  });
}

RollTables::Answer StackBound::most(int enough) {
  constexpr std::size_t kQuickStride = 4;
  for (const Look& look : {Look{kQuickStride, false}, Look{kQuickStride, true}, Look{1, true}}) {
    count(look);
    drop(enough);
    if (lanes_.empty()) {
      break;
    }
  }
  RollTables::Answer answer;
  double longest_m = -1;
  for (const Stretch& stretch : stretches_) {
    const Range& phases = stretch.phases;
    if (stretch.boards > enough) {
      if (!answer.alive.empty() && answer.alive.back().high_m >= phases.low_m) {
        answer.alive.back().high_m = phases.high_m;
      } else {
        answer.alive.push_back(phases);
      }
      const double long_m = answer.alive.back().high_m - answer.alive.back().low_m;
      if (stretch.boards > answer.boards || (stretch.boards == answer.boards && long_m > longest_m)) {
        answer.boards = stretch.boards;
        answer.phase_m = (phases.low_m + phases.high_m) / 2;
        longest_m = long_m;
      }
    }
    answer.boards = std::max(answer.boards, stretch.boards);
  }
  return answer;
}

RollTables::Answer RollTables::most_boards(const Span& pitch, const std::vector<Range>& phases,
                                           double phase_step_m, double shrunk_m, int enough) const {
  StackBound bound(*this, pitch, shrunk_m);
  bound.spread(phases, phase_step_m);
  return bound.most(enough);
}

}  // namespace flitchwise::solver
