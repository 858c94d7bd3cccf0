#include "solver/search/plan_builder.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "solver/search/board_shape.hpp"

namespace flitchwise::solver {
namespace {

constexpr double kSame_m = 1e-7;  // planes that lie no further apart are one

/// Turns bench-frame shapes of one plan into the log frame and keeps its parts.
class PlanBuilder {
 public:
  PlanBuilder(RolledLog& log, const Pose& pose, const Budget* budget)
      : log_(log),
        job_(log.job()),
        pose_(pose),
        budget_(budget),
        sec_(std::sqrt(1 + pose.pitch * pose.pitch)) {
    plan_.targets = job_.targets;
    plan_.options = job_.options;
  }

  void add_layer(std::size_t lay);
  SawPlan finish();

 private:
  struct Row {
    std::size_t lay = 0;
    std::vector<Strip> strips;
  };
  const LayerKind& kind_of(std::size_t lay) const { return job_.kinds[pose_.stack[lay].kind]; }
  std::vector<Strip> roomiest(std::size_t lay, Worth worth);
  void add_boards(std::size_t flitch, const Row& row);
  Board board_of(std::size_t lay, const Strip& strip, const Spot& spot) const;
  double margin_of(std::size_t lay, const Strip& strip, const Spot& spot);
  std::size_t plane_at(double height_m);

  RolledLog& log_;
  const Job& job_;
  Pose pose_;
  const Budget* budget_;
  double sec_;
  std::vector<Row> rows_;
  std::vector<double> heights_m_;  ///< of the planes, square to them, from the one at the phase
  SawPlan plan_;
};

/// The layer's strips as they lie when its boards are grown until no other yaw or place gives them more room.
std::vector<Strip> PlanBuilder::roomiest(std::size_t lay, Worth worth) {
  std::vector<Strip> best = strips_of(log_, pose_, lay, 0);
  largest(0, job_.solid.largest_width_m, [&](double grown_m) {
    if (budget_ != nullptr && budget_->out_of_time()) {
      return false;
    }
    std::vector<Strip> grown = strips_of(log_, pose_, lay, grown_m);
    if (worth_of(grown) < worth) {
      return false;
    }
    best = std::move(grown);
    return true;
  });
  return best;
}

void PlanBuilder::add_layer(std::size_t lay) {
  std::vector<Strip> strips = strips_of(log_, pose_, lay, 0);
  const Worth worth = worth_of(strips);
  if (worth > 0) {
    strips = roomiest(lay, worth);
  }
  if (worth > 0 || !rows_.empty()) {
    rows_.push_back({lay, std::move(strips)});
  }
}

Board PlanBuilder::board_of(std::size_t lay, const Strip& strip, const Spot& spot) const {
  const LaidLayer layer{pose_.roll_rad, slab_of(job_, pose_, pose_.stack[lay]), &kind_of(lay)};
  Board board;
  board.target = spot.target;
  board.corners_m = corners_of(job_, layer, strip, spot);
  board.grain_slope = grain_slope(job_, board.corners_m);
  return board;
}

double PlanBuilder::margin_of(std::size_t lay, const Strip& strip, const Spot& spot) {
  const Place& place = job_.places[strip.place];
  const double middle_x_m = place.middle_x_m();
  const double stretch = std::sqrt(1 + strip.yaw * strip.yaw / (sec_ * sec_));
  const double lean = std::abs(strip.yaw * pose_.pitch) / sec_;
  return largest(0, job_.solid.largest_width_m, [&](double grown_m) {
    Layer layer(log_, slab_of(job_, pose_, pose_.stack[lay]), kind_of(lay), grown_m);
    const double half_m =
        (spot.across_m / 2 + grown_m) * stretch + lean * (kind_of(lay).thickness_m / 2 + grown_m);
    const auto inside = [&](std::size_t section) {
      const double y_m =
          spot.middle_y_m + spot.offset_m * stretch + strip.yaw * (job_.sections[section].x_m - middle_x_m);
      const Interval& free = layer.free_at(section, spot.chamfer);
      return free.low <= y_m - half_m && y_m + half_m <= free.high;
    };
    return holds_along(place, inside);
  });
}

void PlanBuilder::add_boards(std::size_t flitch, const Row& row) {
  char letter = 'a';
  for (std::size_t window = 0; window < row.strips.size(); ++window) {
    const Strip& strip = row.strips[window];
    plan_.flitches[flitch].yaw.push_back(strip.worth > 0 ? strip.yaw : 0);
    for (const Spot& spot : spots_of(job_, kind_of(row.lay), strip)) {
      Board board = board_of(row.lay, strip, spot);
      board.id = std::to_string(flitch + 1) + letter;
      letter = letter < 'z' ? static_cast<char>(letter + 1) : 'A';
      board.flitch = flitch;
      board.window = window;
      board.margin_m = margin_of(row.lay, strip, spot);
      plan_.margin_m = plan_.boards.empty() ? board.margin_m : std::min(plan_.margin_m, board.margin_m);
      plan_.flitches[flitch].boards.push_back(plan_.boards.size());
      plan_.boards.push_back(std::move(board));
    }
  }
}

/// The plane at this height, made if the one above is another. Heights fall from call to call.
std::size_t PlanBuilder::plane_at(double height_m) {
  if (heights_m_.empty() || heights_m_.back() - height_m > kSame_m) {
    heights_m_.push_back(height_m);
    const Eigen::Vector3d normal = Eigen::Vector3d(-pose_.pitch, 0, 1).normalized();
    plan_.planes.push_back(
        {to_log(pose_.roll_rad, {job_.solid.pivot_x_m, 0, pose_.phase_m + height_m * sec_}),
         to_log(pose_.roll_rad, normal)});
  }
  return heights_m_.size() - 1;
}

SawPlan PlanBuilder::finish() {
  while (!rows_.empty() && worth_of(rows_.back().strips) == 0) {
    rows_.pop_back();
  }
  const double half_kerf_m = job_.options.kerf_m / 2;
  const auto top_of = [&](const Lay& lay) {
    return lay.low_m + job_.kinds[lay.kind].thickness_m + half_kerf_m;
  };
  const Stack& stack = pose_.stack;
  const double top_m = !rows_.empty()  ? top_of(stack[rows_.front().lay])
                       : stack.empty() ? 0
                                       : top_of(stack.back());
  plan_.orientation = {pose_.roll_rad, pose_.pitch, pose_.phase_m + top_m * sec_};
  if (rows_.empty()) {
    return plan_;
  }
  plan_.status = SawPlan::Status::ok;
  Worth worth = 0;
  for (const Row& row : rows_) {
    const Lay& lay = stack[row.lay];
    if (!heights_m_.empty() && heights_m_.back() - top_of(lay) > kSame_m) {  // wood left between two layers
      const std::size_t above = heights_m_.size() - 1;
      const double thickness_m = heights_m_.back() - top_of(lay) - job_.options.kerf_m;
      plan_.flitches.push_back({Flitch::Kind::flat, thickness_m, above, plane_at(top_of(lay)), {}, {}});
    }
    const std::size_t upper = plane_at(top_of(lay));
    const std::size_t lower = plane_at(lay.low_m - half_kerf_m);
    const LayerKind& kind = job_.kinds[lay.kind];
    plan_.flitches.push_back({kind.kind, kind.thickness_m, upper, lower, {}, {}});
    add_boards(plan_.flitches.size() - 1, row);
    worth += worth_of(row.strips);
  }
  plan_.value = job_.value_of(worth);
  return plan_;
}

}  // namespace

SawPlan plan_of(RolledLog& log, const Pose& pose, const Budget* budget) {
  PlanBuilder builder(log, pose, budget);
  for (std::size_t lay = pose.stack.size(); lay-- > 0;) {
    builder.add_layer(lay);
  }
  return builder.finish();
}

int cuts_of(RolledLog& log, const Pose& pose) {
  int cuts = 0;
  double last_plane_m = 0;
  const double half_kerf_m = log.job().options.kerf_m / 2;
  for (std::size_t lay = 0; lay < pose.stack.size(); ++lay) {
    const std::vector<Strip> strips = strips_of(log, pose, lay, 0);
    if (worth_of(strips) == 0) {
      continue;
    }
    const double lower_m = pose.stack[lay].low_m - half_kerf_m;
    cuts +=
        cuts > 0 && std::abs(lower_m - last_plane_m) < kSame_m ? 1 : 2;  // the plane below is made already
    last_plane_m = pose.stack[lay].low_m + log.job().kinds[pose.stack[lay].kind].thickness_m + half_kerf_m;
    int windows = 0;
    for (const Strip& strip : strips) {
      windows += strip.worth > 0 ? 1 : 0;
      for (const Group& group : strip.groups) {
        cuts += group.edging == nullptr ? 0 : static_cast<int>(group.edging->targets.size()) + 1;
      }
    }
    cuts += windows - 1;
  }
  return cuts;
}

}  // namespace flitchwise::solver
