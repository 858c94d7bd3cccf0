#include "solver/search/layer_bound.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <tuple>

namespace flitchwise::solver {
namespace {

constexpr std::size_t kLanes = 64;    // worked on together, so that they stay in the cache
constexpr float kRounding_m = 2e-6F;  // of single-precision tables and sums
constexpr int kYawCuts = 5;           // cutting planes a yaw bound gets; more would tighten it by micrometres
constexpr double kPiecePerWidth = 800;  // places along the log: finer pieces cost more than they save
constexpr double kLeastPiece_m = 0.03;  // about the stations' spacing
constexpr double kMostPieces = 64;

/// Most that the lanes' layers give, all poses of a cell together.
class LayerBound {
 public:
  LayerBound(const RollTables& tables, const PoseCell& cell, std::vector<Lane>& lanes)
      : tables_(tables),
        job_(tables.job()),
        cell_(cell),
        lanes_(lanes),
        pith_(job_.options.keep_pith_out_m > 0) {}

  /// Windows each by themselves, their order dropped; the best layout counts. False: given up.
  bool count(const Look& look) {
    for (Lane& lane : lanes_) {
      lane.worth = 0;
    }
    for (const double m : job_.lengths_m) {
      turned_.push_back(turned_m(m));
    }
    for (const Layout& layout : job_.layouts) {
      count_layout(layout, look);
    }
    if (!job_.all_layouts) {
      count_by_length(look);
    }
    return !given_up_;
  }

 private:
  /// Stations that every place of a piece covers.
  struct Piece {
    std::size_t first = 0, end = 0;
  };
  /// The middles that a window may have, in pieces.
  struct Middles {
    double first_m = 0, step_m = 0;
    int count = 1;
  };
  using Row = Eigen::Array<float, kLanes, 1>;
  using Worths = std::array<Worth, kLanes>;
  struct Slope {
    Row yaw, room, slope;
  };
  /// Room in a piece: whole, what the pith takes from it, and on either side of the pith.
  struct Room {
    Row whole, pith, left, right;
  };
  /// A window's length and the range of its middles.
  using WindowKey = std::tuple<std::size_t, double, double>;

  static Eigen::Map<const Row> row(const std::vector<float>& rows, std::size_t i) {
    return Eigen::Map<const Row>(&rows[i * kLanes]);
  }

  /// No wider turn of a board leaves it in the log.
  double most_yaw(const LayerKind& kind, double length_m) const {
    constexpr double kLeastRun = 0.9;  // a place covers at least this share of a board's length
    const double most_shift_m = 2 * job_.solid.reach_m + 2 * std::abs(cell_.shrunk_m) +
                                2 * kind.most_chamfer.across_m - kind.narrowest_m;
    return std::clamp(most_shift_m / (kLeastRun * length_m), 0.0, kMostYaw);
  }

  /// The least that a board of this length spans of x.
  double turned_m(double length_m) const {
    double yaw = 0;
    for (const LayerKind& kind : job_.kinds) {
      yaw = std::max(yaw, most_yaw(kind, length_m));
    }
    return length_m / (cell_.most_sec * std::sqrt(1 + yaw * yaw));
  }

  void begin_block(std::size_t kind, std::size_t length) {
    kind_ = &job_.kinds[kind];
    steps_ = &kind_->steps[length];
    length_m_ = job_.lengths_m[length];
    most_yaw_ = most_yaw(*kind_, length_m_);
    lateral_slack_m_ = most_yaw_ * cell_.most_pitch() * kind_->thickness_m + kRounding_m;
  }

  Piece core(double first_middle_m, double last_middle_m) const {
    // Over this length a board has its whole section, however it is turned within the cell.
    const double turned = 1 / (cell_.most_sec * std::sqrt(1 + most_yaw_ * most_yaw_));
    const double whole_m = length_m_ * turned - kind_->thickness_m * cell_.most_pitch() -
                           kind_->widest_m * most_yaw_ - 2 * std::max(0.0, cell_.shrunk_m);
    const double from_m = last_middle_m - whole_m / 2 - job_.solid.pivot_x_m;
    const double to_m = first_middle_m + whole_m / 2 - job_.solid.pivot_x_m;
    const auto before = [&](std::size_t i, double x) { return tables_.x_m(i) < x; };
    const auto first = std::lower_bound(used_.begin(), used_.end(), from_m, before);
    const auto end = std::lower_bound(first, used_.end(), to_m, before);
    return {static_cast<std::size_t>(first - used_.begin()), static_cast<std::size_t>(end - used_.begin())};
  }

  void find_places(const WindowKey& window, std::size_t stride) {
    const auto [length, first_m, last_m] = window;
    const double piece_m = std::max(kLeastPiece_m, kPiecePerWidth * cell_.width_m);
    const double count = std::clamp(std::ceil((last_m - first_m) / piece_m), 1.0, kMostPieces);
    middles_ = {first_m, (last_m - first_m) / count, static_cast<int>(count)};
    used_.clear();
    const double reach_m = job_.lengths_m[length] / 2;
    for (std::size_t i = 0; i < tables_.size(); i += stride) {
      const double x_m = tables_.x_m(i) + job_.solid.pivot_x_m;
      if (x_m >= first_m - reach_m && x_m <= last_m + reach_m) {
        used_.push_back(i);
      }
    }
  }

  /// The widest that the outline leaves at both faces of the layer, whatever the cell's pitch, roll and
  /// start.
  void fill(const RollTables::Table& table, std::size_t first_lane, std::size_t lanes, std::size_t row) {
    const double rise_m = cell_.pitch.middle * table.x_m;
    const double tilt_m = cell_.pitch.half * std::abs(table.x_m);
    // Every layer of a lane holds all heights from `under` to `over`, counted from its start and the table's
    // bottom.
    const double under_m = cell_.width_m + rise_m + tilt_m + cell_.spacing_slack_m - table.z_low_m +
                           cell_.shrunk_m * cell_.most_sec - table.bottom_m;
    const double over_m = rise_m - tilt_m - cell_.spacing_slack_m - table.z_high_m +
                          (kind_->thickness_m - cell_.shrunk_m) * cell_.least_sec - table.bottom_m;
    const auto step_of = [&](double m) {
      return static_cast<std::ptrdiff_t>(std::floor(m / tables_.step_m()));
    };
    const std::ptrdiff_t at_under = step_of(under_m);
    const std::ptrdiff_t at_over = step_of(over_m);
    // Between the chamfers the layer has its full width, at its faces it may be narrower by them.
    const Chamfer& chamfer = kind_->most_chamfer;
    const bool chamfered = chamfer.across_m > 0;
    const std::ptrdiff_t inner_under = step_of(under_m + chamfer.up_m * cell_.most_sec);
    const std::ptrdiff_t inner_over = step_of(over_m - chamfer.up_m * cell_.most_sec);
    const auto across = static_cast<float>(chamfer.across_m);
    const auto last = static_cast<std::ptrdiff_t>(table.high_m.size()) - 1;
    const auto y_low = static_cast<float>(table.y_low_m);
    const auto y_high = static_cast<float>(table.y_high_m);
    const float* h = table.high_m.data();
    const float* l = table.low_m.data();
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const std::ptrdiff_t step = lanes_[first_lane + lane].step;
      const auto clamped = [&](std::ptrdiff_t at) { return std::clamp(step + at, std::ptrdiff_t{0}, last); };
      const std::ptrdiff_t u = clamped(at_under);
      const std::ptrdiff_t o = clamped(at_over);
      float most, least;
      if (at_under <= at_over) {
        most = std::min(h[u], h[o]);
        least = std::max(l[u], l[o]);
      } else {  // a cell too coarse for that: every layer holds at least one height between the two
        most = *std::max_element(h + o, h + u + 1);
        least = *std::min_element(l + o, l + u + 1);
      }
      if (chamfered) {
        most += across;
        least -= across;
        if (inner_under <= inner_over) {
          const std::ptrdiff_t iu = clamped(inner_under);
          const std::ptrdiff_t io = clamped(inner_over);
          most = std::min({most, h[iu], h[io]});
          least = std::max({least, l[iu], l[io]});
        }
      }
      high_[row * kLanes + lane] = y_high + most;
      low_[row * kLanes + lane] = y_low + least;
    }
  }

  /// What the zone around the pith takes from every layer of a lane at a station, whatever the cell's pose.
  void fill_pith(const RollTables::Table& table, std::size_t first_lane, std::size_t lanes, std::size_t row) {
    const double radius_m = job_.options.keep_pith_out_m / 2;
    const double rise_m = cell_.pitch.middle * table.x_m;
    const double tilt_m = cell_.pitch.half * std::abs(table.x_m);
    const double under_m = cell_.width_m + rise_m + tilt_m + cell_.spacing_slack_m;
    const double over_m = rise_m - tilt_m - cell_.spacing_slack_m + kind_->thickness_m * cell_.least_sec;
    for (std::size_t lane = 0; lane < lanes; ++lane) {
      const double start_m = static_cast<double>(lanes_[first_lane + lane].step) * tables_.step_m();
      const double off_m =
          std::max({start_m + under_m - table.pith_z_low_m, table.pith_z_high_m - start_m - over_m, 0.0});
      const std::size_t at = row * kLanes + lane;
      pith_half_[at] = 0;
      pith_left_[at] = pith_right_[at] = kOutside;
      if (off_m < radius_m) {
        const double half_m = std::sqrt(radius_m * radius_m - off_m * off_m);
        pith_half_[at] = static_cast<float>(half_m);
        pith_left_[at] = high_[at] - static_cast<float>(table.pith_y_low_m + half_m);
        pith_right_[at] = static_cast<float>(table.pith_y_high_m - half_m) - low_[at];
      }
    }
  }

  void beside_pith(const Piece& piece, Room& room) const {
    for (std::size_t s = piece.first; s < piece.end; ++s) {
      room.pith = room.pith.max(2 * row(pith_half_, s));
      room.left = room.left.min(row(pith_left_, s));
      room.right = room.right.min(row(pith_right_, s));
    }
  }

  Slope slope_at(const Piece& piece, const Row& yaw) const {
    Row least_high = Row::Constant(kOutside);
    Row most_low = -least_high;
    Row x_high = Row::Zero();
    Row x_low = Row::Zero();
    for (std::size_t s = piece.first; s < piece.end; ++s) {
      const float* low = &low_[s * kLanes];
      const float* high = &high_[s * kLanes];
      const auto x = static_cast<float>(tables_.x_m(used_[s]));
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        const float lean = x * yaw[lane];
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
    return {yaw, least_high - most_low, x_low - x_high};
  }

  /// Upper bound of the concave room(yaw): two tangents meet above it. `room` is only ever lowered.
  void yawed(const Piece& piece, Row& room) const {
    const auto limit = static_cast<float>(most_yaw_ + 1e-3);
    Slope left = slope_at(piece, Row::Constant(-limit));
    Slope right = slope_at(piece, Row::Constant(limit));
    Slope at;
    Row reached = left.room.max(right.room);
    for (int cut = 0; cut <= kYawCuts; ++cut) {
      bool settled = true;
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        const float bend = left.slope[lane] - right.slope[lane];
        const bool meet = left.slope[lane] > 0 && right.slope[lane] < 0;
        const float over = right.room[lane] - left.room[lane] + left.slope[lane] * left.yaw[lane] -
                           right.slope[lane] * right.yaw[lane];
        const float yaw = meet ? over / bend : (left.slope[lane] > 0 ? right.yaw[lane] : left.yaw[lane]);
        const float bound =
            meet ? left.room[lane] + left.slope[lane] * (yaw - left.yaw[lane]) : reached[lane];
        at.yaw[lane] = yaw;
        room[lane] = std::min(room[lane], bound);
        settled = settled && worth_in(room[lane]) <= worth_in(reached[lane]);
      }
      if (settled || cut == kYawCuts) {
        return;
      }
      at = slope_at(piece, at.yaw);
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        Slope& side = at.slope[lane] > 0 ? left : right;
        side.yaw[lane] = at.yaw[lane];
        side.room[lane] = at.room[lane];
        side.slope[lane] = at.slope[lane];
        reached[lane] = std::max(reached[lane], at.room[lane]);
      }
    }
  }

  Worth worth_in(double room_m) const {
    // n boards shrunk on every side, with kerfs that much larger, take n width + (n - 1) kerf - 2 shrunk.
    const double free_m = room_m + lateral_slack_m_ + 2 * cell_.shrunk_m;
    if (steps_->each_m > 0) {
      return free_m + kind_->kerf_m > 0
                 ? static_cast<Worth>((free_m + kind_->kerf_m) / steps_->each_m) * steps_->each
                 : 0;
    }
    const auto above = std::upper_bound(steps_->width_m.begin(), steps_->width_m.end(), free_m);
    const auto count = above - steps_->width_m.begin();
    return count == 0 ? 0 : steps_->worth[static_cast<std::size_t>(count - 1)];
  }

  /// With the pith in the layer, boards lie on either side of it: with the zone as the kerf between them they
  /// are no more than what its width leaves, and those on one side no more than what lies there at any
  /// station.
  Worth worth_in(const Room& room, std::size_t lane) const {
    const Worth whole = worth_in(room.whole[lane]);
    if (!pith_ || room.pith[lane] <= 0) {
      return whole;
    }
    const double taken_m = std::max(0.0, static_cast<double>(room.pith[lane]) - kind_->kerf_m);
    return std::min({whole, worth_in(room.whole[lane] - taken_m),
                     worth_in(room.left[lane]) + worth_in(room.right[lane])});
  }

  /// Most over the pieces from..to - 1. `room` bounds them already; stations that all of them cover lower it,
  /// and only if that leaves a gain on what other pieces gave are they looked at one by one.
  void count_pieces(int from, int to, Room room, bool with_yaw, Worths& most) const {
    const auto gains = [&] {
      std::size_t lane = 0;
      while (lane < kLanes && worth_in(room, lane) <= most[lane]) {
        ++lane;
      }
      return lane < kLanes;
    };
    const Piece piece =
        core(middles_.first_m + from * middles_.step_m, middles_.first_m + to * middles_.step_m);
    if (piece.first < piece.end) {
      for (std::size_t s = piece.first; s < piece.end; ++s) {
        room.whole = room.whole.min(row(high_, s) - row(low_, s));
      }
      if (pith_) {
        beside_pith(piece, room);
      }
      if (with_yaw && gains()) {
        yawed(piece, room.whole);
      }
    }
    if (!gains()) {
      return;
    }
    if (to - from == 1) {
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        most[lane] = std::max(most[lane], worth_in(room, lane));
      }
      return;
    }
    const int middle = (from + to) / 2;
    // Towards the large end first: most often the roomier half.
    count_pieces(middle, to, room, with_yaw, most);
    count_pieces(from, middle, room, with_yaw, most);
  }

  /// What one window may give, lane by lane.
  std::vector<Worth> count_window(const WindowKey& window, const Look& look) {
    std::vector<Worth> worths(lanes_.size(), 0);
    find_places(window, look.stride);
    low_.assign(used_.size() * kLanes, kOutside);
    high_.assign(used_.size() * kLanes, -kOutside);
    if (pith_) {
      pith_half_.assign(used_.size() * kLanes, 0);
      pith_left_ = pith_right_ = pith_half_;
    }
    for (std::size_t first = 0; first < lanes_.size() && !given_up_;) {
      given_up_ = tables_.is_late();
      const std::size_t kind = lanes_[first].kind;
      std::size_t lanes = 1;
      while (lanes < kLanes && first + lanes < lanes_.size() && lanes_[first + lanes].kind == kind) {
        ++lanes;
      }
      begin_block(kind, std::get<0>(window));
      if (!steps_->width_m.empty()) {
        for (std::size_t s = 0; s < used_.size(); ++s) {
          const RollTables::Table& table = tables_.table(used_[s]);
          fill(table, first, lanes, s);
          if (pith_) {
            fill_pith(table, first, lanes, s);
          }
        }
        const auto most_m = static_cast<float>(2 * job_.solid.reach_m);
        Room room{Row::Constant(most_m), Row::Zero(), Row::Constant(kOutside), Row::Constant(kOutside)};
        room.whole.tail(static_cast<Eigen::Index>(kLanes - lanes)) = -kOutside;
        Worths most{};
        count_pieces(0, middles_.count, room, look.yaw, most);
        std::copy_n(most.begin(), lanes, worths.begin() + static_cast<std::ptrdiff_t>(first));
      }
      first += lanes;
    }
    return worths;
  }

  /// What one window may give, lane by lane; known already where another layout has it, too.
  const std::vector<Worth>& worths_of(const WindowKey& window, const Look& look) {
    auto found = windows_.find(window);
    if (found == windows_.end()) {
      found = windows_.emplace(window, count_window(window, look)).first;
    }
    return found->second;
  }

  void count_layout(const Layout& layout, const Look& look) {
    const double ends_m = std::max(0.0, cell_.shrunk_m);
    const double kerf_m = job_.options.crosscut_kerf_m;
    double behind_m = 0;
    for (const Window& window : layout.windows) {
      behind_m += turned_[window.length] + kerf_m;
    }
    double before_m = 0;
    std::vector<Worth> sums(lanes_.size(), 0);
    for (const Window& window : layout.windows) {
      const double length_m = turned_[window.length];
      behind_m -= length_m + kerf_m;
      const std::vector<Worth>& worths = worths_of({window.length, before_m + length_m / 2 - ends_m,
                                                    job_.solid.usable_m + ends_m - length_m / 2 - behind_m},
                                                   look);
      before_m += length_m + kerf_m;
      std::transform(sums.begin(), sums.end(), worths.begin(), sums.begin(), std::plus<>());
    }
    for (std::size_t i = 0; i < sums.size(); ++i) {
      lanes_[i].worth = std::max(lanes_[i].worth, sums[i]);
    }
  }

  /// No more worth a metre than the best length gives anywhere: for layouts that are not listed.
  void count_by_length(const Look& look) {
    const double ends_m = std::max(0.0, cell_.shrunk_m);
    const double kerf_m = job_.options.crosscut_kerf_m;
    for (std::size_t length = 0; length < job_.lengths_m.size(); ++length) {
      const double length_m = turned_[length];
      const std::vector<Worth>& worths =
          worths_of({length, length_m / 2 - ends_m, job_.solid.usable_m + ends_m - length_m / 2}, look);
      const double times = (job_.solid.usable_m + 2 * ends_m + kerf_m) / (length_m + kerf_m);
      for (std::size_t i = 0; i < worths.size(); ++i) {
        lanes_[i].worth =
            std::max(lanes_[i].worth, static_cast<Worth>(static_cast<double>(worths[i]) * times));
      }
    }
  }

  const RollTables& tables_;
  const Job& job_;
  const PoseCell& cell_;
  std::vector<Lane>& lanes_;
  bool pith_;
  bool given_up_ = false;
  std::vector<double> turned_;  // a length: the least that a board of it spans of x
  std::map<WindowKey, std::vector<Worth>> windows_;
  // of the block under work
  const LayerKind* kind_ = nullptr;
  const MenuSteps* steps_ = nullptr;
  double length_m_ = 0;
  double most_yaw_ = 0;
  double lateral_slack_m_ = 0;
  Middles middles_;
  std::vector<std::size_t> used_;  // tables that are looked at
  std::vector<float> low_;         // [station][lane of the block]
  std::vector<float> high_;
  std::vector<float> pith_half_;  // the same: half of what the zone around the pith takes; 0: nothing
  std::vector<float> pith_left_;  // room on either side of it
  std::vector<float> pith_right_;
};

}  // namespace

bool count_lanes(const RollTables& tables, const PoseCell& cell, const Look& look, std::vector<Lane>& lanes) {
  return LayerBound(tables, cell, lanes).count(look);
}

}  // namespace flitchwise::solver
