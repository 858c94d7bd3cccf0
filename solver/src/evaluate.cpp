#include "evaluate.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace flitchwise::solver {
namespace {

constexpr double kFirstMarginStep_m = 0.001;  // margins are a few millimetres: doubling from here is quick

/// Shifts of the nearest layer that is known, or none.
const std::vector<std::size_t>* nearest_shifts(const Shifts& shifts, int layer) {
  const std::vector<std::size_t>* nearest = nullptr;
  int distance = std::numeric_limits<int>::max();
  for (const auto& [known, row] : shifts) {
    if (std::abs(known - layer) < distance) {
      distance = std::abs(known - layer);
      nearest = &row;
    }
  }
  return nearest;
}

std::vector<Strip> strips_of(RolledLog& log, const Pose& pose, int number, double grown_m,
                             const Shifts* shifts) {
  Layer layer(log, slab_of(log.job(), pose, number), grown_m);
  const std::vector<std::size_t>* row = shifts == nullptr ? nullptr : nearest_shifts(*shifts, number);
  if (row == nullptr) {
    return layer.best_strips();
  }
  std::vector<Strip> strips;
  for (std::size_t window = 0; window < row->size(); ++window) {
    strips.push_back(layer.strip_at(window, (*row)[window]));
  }
  return strips;
}

int boards_in(const std::vector<Strip>& strips) {
  int boards = 0;
  for (const Strip& strip : strips) {
    boards += strip.boards;
  }
  return boards;
}

/// Largest value for which `holds`, which is monotone, to kMarginPrecision_m. Requires: holds(from).
template <typename Holds>
double largest(double from, double most, Holds holds) {
  double step = kFirstMarginStep_m;
  double good = from;
  double bad = from + step;
  while (bad < most && holds(bad)) {
    good = bad;
    step *= 2;
    bad = good + step;
  }
  while (bad - good > kMarginPrecision_m) {
    const double middle = (good + bad) / 2;
    (holds(middle) ? good : bad) = middle;
  }
  return good;
}

}  // namespace

double plane_spacing_m(const Job& job, double pitch) {
  return (job.target.thickness_m + job.options.kerf_m) * std::sqrt(1 + pitch * pitch);
}

Slab slab_of(const Job& job, const Pose& pose, int layer) {
  const double half_kerf_m = job.options.kerf_m / 2 * std::sqrt(1 + pose.pitch * pose.pitch);
  const double low_m = pose.phase_m + layer * plane_spacing_m(job, pose.pitch);
  return {low_m + half_kerf_m, low_m + plane_spacing_m(job, pose.pitch) - half_kerf_m, pose.pitch};
}

LayerRange layers_of(const Job& job, const Pose& pose) {
  const double spacing_m = plane_spacing_m(job, pose.pitch);
  const double reach_m = job.solid.reach_m + std::abs(pose.pitch) * job.solid.usable_m / 2;
  return {static_cast<int>(std::floor((-reach_m - pose.phase_m) / spacing_m)),
          static_cast<int>(std::ceil((reach_m - pose.phase_m) / spacing_m))};
}

int boards_at(RolledLog& log, const Pose& pose, double grown_m, const Shifts* shifts) {
  const LayerRange range = layers_of(log.job(), pose);
  int boards = 0;
  for (int number = range.lowest; number <= range.highest; ++number) {
    boards += boards_in(strips_of(log, pose, number, grown_m, shifts));
  }
  return boards;
}

Shifts best_shifts(RolledLog& log, const Pose& pose, double grown_m) {
  const LayerRange range = layers_of(log.job(), pose);
  Shifts shifts;
  for (int number = range.lowest; number <= range.highest; ++number) {
    const std::vector<Strip> strips = strips_of(log, pose, number, grown_m, nullptr);
    if (boards_in(strips) > 0) {
      for (const Strip& strip : strips) {
        shifts[number].push_back(strip.shift);
      }
    }
  }
  return shifts;
}

double margin_at(RolledLog& log, const Pose& pose, int boards, double above_m, const Shifts& shifts) {
  const auto holds = [&](double grown_m) { return boards_at(log, pose, grown_m, &shifts) >= boards; };
  const double start_m = above_m + kMarginPrecision_m;
  if (!holds(start_m)) {
    return -std::numeric_limits<double>::infinity();
  }
  return largest(start_m, log.job().solid.largest_width_m, holds);
}

namespace {

/// Turns bench-frame shapes of one plan into the log frame and keeps its parts.
class PlanBuilder {
 public:
  PlanBuilder(RolledLog& log, const Pose& pose) : log_(log), job_(log.job()), pose_(pose) {
    plan_.targets = {job_.target};
    plan_.options = job_.options;
  }

  void add_layer(int number);
  SawPlan finish(int highest);

 private:
  struct Row {
    int number = 0;
    std::vector<Strip> strips;
  };
  std::vector<Strip> roomiest(int number, int boards);
  void add_boards(std::size_t flitch, const Row& row);
  Board board_of(const Slab& slab, const Strip& strip, std::size_t window, int index) const;
  double margin_of(int number, const Strip& strip, std::size_t window, int index);
  Eigen::Vector3d to_log(const Eigen::Vector3d& in_bench_m) const;
  double offset_m(const Strip& strip, int index) const;

  RolledLog& log_;
  const Job& job_;
  Pose pose_;
  std::vector<Row> rows_;
  SawPlan plan_;
};

Eigen::Vector3d PlanBuilder::to_log(const Eigen::Vector3d& in_bench_m) const {
  const double c = std::cos(pose_.roll_rad);
  const double s = std::sin(pose_.roll_rad);
  return {in_bench_m.x(), c * in_bench_m.y() + s * in_bench_m.z(), c * in_bench_m.z() - s * in_bench_m.y()};
}

/// Across the strip, from its middle to the middle of board `index` (0 is the leftmost, at high y).
double PlanBuilder::offset_m(const Strip& strip, int index) const {
  return ((strip.boards - 1) / 2.0 - index) * (job_.target.width_m + job_.options.rip_kerf_m);
}

/// The layer's strips as they lie when its boards are grown until no other yaw or place gives them more room.
std::vector<Strip> PlanBuilder::roomiest(int number, int boards) {
  std::vector<Strip> best = strips_of(log_, pose_, number, 0, nullptr);
  largest(0, job_.solid.largest_width_m, [&](double grown_m) {
    std::vector<Strip> grown = strips_of(log_, pose_, number, grown_m, nullptr);
    if (boards_in(grown) < boards) {
      return false;
    }
    best = std::move(grown);
    return true;
  });
  return best;
}

void PlanBuilder::add_layer(int number) {
  std::vector<Strip> strips = strips_of(log_, pose_, number, 0, nullptr);
  const int boards = boards_in(strips);
  if (boards > 0) {
    strips = roomiest(number, boards);
  }
  if (boards > 0 || !rows_.empty()) {
    rows_.push_back({number, std::move(strips)});
  }
}

/// See Board::corners_m. Directions in the bench frame: the board's own axis, across it in its flitch, off
/// its face.
Board PlanBuilder::board_of(const Slab& slab, const Strip& strip, std::size_t window, int index) const {
  const double sec = std::sqrt(1 + slab.pitch * slab.pitch);
  const Eigen::Vector3d uphill(1 / sec, 0, slab.pitch / sec);
  const Eigen::Vector3d normal(-slab.pitch / sec, 0, 1 / sec);
  const double yaw_rad = std::atan(strip.yaw / sec);  // dy/dx = strip.yaw, so dy along the slope is less
  const Eigen::Vector3d axis = std::cos(yaw_rad) * uphill + std::sin(yaw_rad) * Eigen::Vector3d::UnitY();
  const Eigen::Vector3d across = std::cos(yaw_rad) * Eigen::Vector3d::UnitY() - std::sin(yaw_rad) * uphill;
  const Place& place = job_.places[window][strip.shift];
  const double middle_x_m = (place.low_x_m + place.high_x_m) / 2;
  const Eigen::Vector3d middle(
      middle_x_m, strip.middle_y_m + offset_m(strip, index) / std::cos(yaw_rad),
      (slab.low_m + slab.high_m) / 2 + slab.pitch * (middle_x_m - job_.solid.pivot_x_m));
  const std::array<std::pair<double, double>, 4> quarter{{{1, -1}, {-1, -1}, {-1, 1}, {1, 1}}};
  Board board;
  board.window = window;
  for (std::size_t corner = 0; corner < board.corners_m.size(); ++corner) {
    const auto [left, up] = quarter.at(corner % 4);
    const double along = corner < 4 ? -0.5 : 0.5;
    board.corners_m.at(corner) =
        to_log(middle + along * job_.target.length_m * axis + left * job_.target.width_m / 2 * across +
               up * job_.target.thickness_m / 2 * normal);
  }
  return board;
}

double PlanBuilder::margin_of(int number, const Strip& strip, std::size_t window, int index) {
  const Place& place = job_.places[window][strip.shift];
  const double middle_x_m = (place.low_x_m + place.high_x_m) / 2;
  const double sec = std::sqrt(1 + pose_.pitch * pose_.pitch);
  const double stretch = std::sqrt(1 + strip.yaw * strip.yaw / (sec * sec));
  const double lean = std::abs(strip.yaw * pose_.pitch) / sec;
  return largest(0, job_.solid.largest_width_m, [&](double grown_m) {
    Layer layer(log_, slab_of(job_, pose_, number), grown_m);
    const double half_m =
        (job_.target.width_m / 2 + grown_m) * stretch + lean * (job_.target.thickness_m / 2 + grown_m);
    const auto inside = [&](std::size_t section) {
      const double y_m = strip.middle_y_m + offset_m(strip, index) * stretch +
                         strip.yaw * (job_.sections[section].x_m - middle_x_m);
      const Interval& free = layer.free_at(section);
      return free.low <= y_m - half_m && y_m + half_m <= free.high;
    };
    bool all = inside(place.low_section) && inside(place.high_section);
    for (std::size_t i = place.first_station; all && i < place.end_station; ++i) {
      all = inside(i);
    }
    return all;
  });
}

void PlanBuilder::add_boards(std::size_t flitch, const Row& row) {
  char letter = 'a';
  for (std::size_t window = 0; window < row.strips.size(); ++window) {
    const Strip& strip = row.strips[window];
    plan_.flitches[flitch].yaw.push_back(strip.boards > 0 ? strip.yaw : 0);
    for (int index = 0; index < strip.boards; ++index) {
      Board board = board_of(slab_of(job_, pose_, row.number), strip, window, index);
      board.id = std::to_string(flitch + 1) + letter;
      letter = letter < 'z' ? static_cast<char>(letter + 1) : 'A';
      board.flitch = flitch;
      board.margin_m = margin_of(row.number, strip, window, index);
      plan_.margin_m = plan_.boards.empty() ? board.margin_m : std::min(plan_.margin_m, board.margin_m);
      plan_.flitches[flitch].boards.push_back(plan_.boards.size());
      plan_.boards.push_back(std::move(board));
    }
  }
}

SawPlan PlanBuilder::finish(int highest) {
  while (!rows_.empty() && boards_in(rows_.back().strips) == 0) {
    rows_.pop_back();
  }
  const int top = rows_.empty() ? highest : rows_.front().number;
  const double spacing_m = plane_spacing_m(job_, pose_.pitch);
  plan_.orientation = {pose_.roll_rad, pose_.pitch, pose_.phase_m + (top + 1) * spacing_m};
  if (rows_.empty()) {
    return plan_;
  }
  plan_.status = SawPlan::Status::ok;
  const Eigen::Vector3d normal = Eigen::Vector3d(-pose_.pitch, 0, 1).normalized();
  for (std::size_t i = 0; i <= rows_.size(); ++i) {
    const double z_m = plan_.orientation.height_m - static_cast<double>(i) * spacing_m;
    plan_.planes.push_back({to_log({job_.solid.pivot_x_m, 0, z_m}), to_log(normal)});
  }
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    plan_.flitches.push_back({Flitch::Kind::flat, job_.target.thickness_m, i, i + 1, {}, {}});
    add_boards(i, rows_[i]);
  }
  plan_.value = static_cast<double>(plan_.boards.size());
  return plan_;
}

}  // namespace

SawPlan plan_of(RolledLog& log, const Pose& pose, int lowest, int highest) {
  PlanBuilder builder(log, pose);
  for (int number = highest; number >= lowest; --number) {
    builder.add_layer(number);
  }
  return builder.finish(highest);
}

}  // namespace flitchwise::solver
