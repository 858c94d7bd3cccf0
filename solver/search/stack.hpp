#pragma once
/// One call of RollTables::most_worth. Its layers, for each stretch of heights one, are the lanes. What each
/// of them may give is counted (search_bound.cpp) and put together to the best stack (search_stack.cpp);
/// every closer look drops the lanes that are in no stack that still gives enough.

#include <array>
#include <cstddef>
#include <map>
#include <tuple>
#include <vector>

#include "solver/search/bound.hpp"

namespace flitchwise::solver {

class StackBound {
 public:
  StackBound(const RollTables& tables, const Span& pitch, double shrunk_m);
  void spread(const Open& open, double step_m);
  RollTables::Answer most(Worth enough);

 private:
  static constexpr std::size_t kLanes = 64;  // worked on together, so that they stay in the cache
  /// A short range of phases. All layers of a stack whose phase lies in it start within `width_m_` of a lane.
  struct Stretch {
    Range phases;
    Worth worth = 0;
  };
  struct Lane {
    std::ptrdiff_t step = 0;  ///< the layer starts at or above step x table step
    std::size_t slot = 0;     ///< its stretch; unevenly spaced: its place in the grid of heights
    std::size_t kind = 0;
    Worth worth = 0;
  };
  /// Stations that every place of a piece covers.
  struct Piece {
    std::size_t first = 0;
    std::size_t end = 0;
  };
  /// The middles that a window may have, in pieces.
  struct Middles {
    double first_m = 0;
    double step_m = 0;
    int count = 1;
  };
  using Row = std::array<float, kLanes>;
  using Worths = std::array<Worth, kLanes>;
  struct Slope {
    Row yaw;
    Row room;
    Row slope;
  };
  /// Room in a piece: whole, what the pith takes from it, and on either side of the pith.
  struct Room {
    Row whole;
    Row pith;
    Row left;
    Row right;
  };
  /// What is looked at: every stride-th station, with or without the yaw.
  struct Look {
    std::size_t stride = 1;
    bool yaw = false;
  };
  /// A window's length and the range of its middles.
  using WindowKey = std::tuple<std::size_t, double, double>;

  // search_stack.cpp: which layers there are, and what they give together
  void spread_evenly(const std::vector<Range>& phases, double step_m);
  void spread_grid(const Open& open, double step_m);
  bool grain_rules_out(std::size_t kind) const;
  void drop(Worth enough);
  void drop_stretches(Worth enough);
  void drop_lanes(Worth enough);
  RollTables::Answer answer_of_stretches(Worth enough) const;
  RollTables::Answer answer_of_grid() const;
  struct Sums;
  Sums sums() const;
  std::vector<std::pair<std::size_t, std::size_t>> best_path(const Sums& all) const;
  void settle(const std::vector<std::pair<std::size_t, std::size_t>>& path, RollTables::Answer& answer) const;
  bool is_cant(std::size_t kind) const { return job_.kinds[kind].kind == Flitch::Kind::cant; }

  // search_bound.cpp: what one layer gives
  void count(const Look& look);
  std::vector<Worth> count_window(const WindowKey& window, const Look& look);
  double most_yaw(const LayerKind& kind, double length_m) const;
  double turned_m(std::size_t length) const;
  void begin_block(std::size_t kind, std::size_t length);
  void find_places(const WindowKey& window, std::size_t stride);
  Piece core(double first_middle_m, double last_middle_m) const;
  void count_pieces(int from, int to, Room room, bool with_yaw, Worths& most) const;
  void fill(const RollTables::Table& table, std::size_t first_lane, std::size_t lanes, std::size_t row);
  void fill_pith(const RollTables::Table& table, std::size_t first_lane, std::size_t lanes, std::size_t row);
  void narrowest(const Piece& piece, Row& room) const;
  void beside_pith(const Piece& piece, Room& room) const;
  void yawed(const Piece& piece, Row& room) const;
  void slope_at(const Piece& piece, Slope& at) const;
  Worth worth_in(double room_m) const;
  Worth worth_in(const Room& room, std::size_t lane) const;

  const RollTables& tables_;
  const Job& job_;
  Span pitch_;
  double shrunk_m_;
  bool pith_ = false;
  double least_sec_;  // sqrt(1 + pitch^2), least and most in the cell
  double most_sec_;
  double spacing_m_;        // of evenly spaced planes
  double spacing_slack_m_;  // what the spacings may add up to over the cell's pitches
  bool given_up_ = false;
  double width_m_ = 0;  // of a lane's starts
  std::vector<Stretch> stretches_;
  double grid_low_m_ = 0;  // of slot 0
  double grid_m_ = 0;      // between slots
  std::size_t slots_ = 0;
  std::vector<std::size_t> strides_;  // [kind] slots from a layer to the next one above, at least
  std::vector<Lane> lanes_;           // by kind
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

}  // namespace flitchwise::solver
