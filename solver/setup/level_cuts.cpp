#include "solver/setup/level_cuts.hpp"

#include <array>
#include <cmath>
#include <iterator>
#include <utility>

namespace flitchwise::solver {
namespace {

/// Saw depths that differ by less are one setting: nobody sets a saw closer.
constexpr double kSameSetting_m = 0.00025;

/// Weight between two level planes, the kerf of each taken off; lower or upper may be absent.
double weight_between_kg(const CutPlan& job, const LevelPlane* lower, const LevelPlane* upper) {
  const double half_kerf_m = job.plan.options.kerf_m / 2;
  std::vector<HalfSpace> spaces;
  if (lower != nullptr) {
    spaces.push_back(above(*lower, half_kerf_m));
  }
  if (upper != nullptr) {
    spaces.push_back(below(*upper, -half_kerf_m));
  }
  return job.density_kg_m3 * job.log.volume_m3(spaces, 0, job.log.usable_length_m());
}

double spacing_m(const LevelPlane& upper, const LevelPlane& lower) {
  return lower.distance(upper.x_m, upper.z_m);
}

Cut level_cut(const CutPlan& job, const LevelPlane& plane, Piece::Kind piece, const Ride& ride) {
  Cut cut;
  cut.piece.kind = piece;
  cut.rests_on = ride.rests_on;
  cut.saw_depth_m = ride.saw_depth_m;
  cut.width_m = widest_cut_m(job.log, plane);
  cut.area_m2 = cut_area_m2(job.log, plane);
  return cut;
}

/// Cuts of the piece that came off, from its flat face upwards.
std::vector<Cut> top_piece_cuts(const CutPlan& job) {
  const std::size_t opening = job.rail.plane;
  std::vector<Cut> cuts;
  for (std::size_t i = opening; i-- > 0;) {
    const double depth_m = spacing_m(job.planes[i], job.planes[i + 1]) - job.plan.options.kerf_m / 2;
    cuts.push_back(level_cut(job, job.planes[i], Piece::Kind::top_piece, ride_on_face(job.kit, depth_m)));
    cuts.back().turned_over = i + 1 == opening;
    cuts.back().plane = job.plan.planes[i];
    cuts.back().piece_weight_kg = weight_between_kg(job, &job.planes[i + 1], &job.planes[i]);
  }
  return cuts;
}

/// Cuts of what lies on the bearers, from the opening cut's face downwards; the first makes the topmost plane
/// where the opening cut is an extra one above it.
std::vector<Cut> log_cuts(const CutPlan& job) {
  std::vector<Cut> cuts;
  LevelPlane face = job.rail.level;
  for (std::size_t i = job.rail.plane + (job.rail.above_m > 0 ? 0 : 1); i < job.planes.size(); ++i) {
    const double depth_m = spacing_m(face, job.planes[i]) - job.plan.options.kerf_m / 2;
    cuts.push_back(level_cut(job, job.planes[i], Piece::Kind::log, ride_on_face(job.kit, depth_m)));
    cuts.back().plane = job.plan.planes[i];
    cuts.back().piece_weight_kg = weight_between_kg(job, &job.planes[i], &face);
    face = job.planes[i];
  }
  return cuts;
}

/// How often the saw must be set and the piece be changed, fewer settings first.
struct Effort {
  int settings = 0;
  int changes = 0;
  bool operator<(const Effort& other) const {
    return settings != other.settings ? settings < other.settings : changes < other.changes;
  }
};

/// Merges both lists, the order within each kept, so that the saw is set as seldom as can be; the first list
/// first where it makes no difference. By dynamic programming over how much of each list is left and which
/// was sawn last.
class Merger {
 public:
  Merger(std::vector<Cut> first, std::vector<Cut> second)
      : lists_{std::move(first), std::move(second)},
        least_((lists_[0].size() + 1) * (lists_[1].size() + 1) * 2) {
    for (std::size_t i = lists_[0].size() + 1; i-- > 0;) {
      for (std::size_t j = lists_[1].size() + 1; j-- > 0;) {
        for (const int last : {0, 1}) {
          least(i, j, last) = best({i, j}, last).second;
        }
      }
    }
  }

  std::vector<Cut> merged() const {
    std::vector<Cut> cuts;
    std::array<std::size_t, 2> at{0, 0};
    int last = kNone;
    while (at[0] < lists_[0].size() || at[1] < lists_[1].size()) {
      last = best(at, last).first;
      const auto list = static_cast<std::size_t>(last);
      cuts.push_back(lists_.at(list)[at.at(list)++]);
    }
    return cuts;
  }

 private:
  static constexpr int kNone = -1;
  std::size_t index(std::size_t i, std::size_t j, int last) const {
    return (i * (lists_[1].size() + 1) + j) * 2 + static_cast<std::size_t>(last);
  }
  Effort& least(std::size_t i, std::size_t j, int last) { return least_[index(i, j, last)]; }

  /// From here on: the list to take from, and the effort of all that is left.
  std::pair<int, Effort> best(std::array<std::size_t, 2> at, int last) const {
    std::pair<int, Effort> best{kNone, {}};
    for (const int list : {0, 1}) {
      const auto l = static_cast<std::size_t>(list);
      if (at.at(l) == lists_.at(l).size()) {
        continue;
      }
      std::array<std::size_t, 2> next = at;
      ++next.at(l);
      Effort effort = least_[index(next[0], next[1], list)];
      effort.changes += list == last ? 0 : 1;
      effort.settings += is_set(at, last, lists_.at(l)[at.at(l)]) ? 0 : 1;
      if (best.first == kNone || effort < best.second) {
        best = {list, effort};
      }
    }
    return best;
  }

  /// The saw is at this cut's depth already.
  bool is_set(const std::array<std::size_t, 2>& at, int last, const Cut& cut) const {
    if (last == kNone) {
      return false;
    }
    const auto l = static_cast<std::size_t>(last);
    return at.at(l) > 0 &&
           std::abs(lists_.at(l)[at.at(l) - 1].saw_depth_m - cut.saw_depth_m) < kSameSetting_m;
  }

  std::array<std::vector<Cut>, 2> lists_;
  std::vector<Effort> least_;
};

}  // namespace

double normal_saw_depth_m(const SawPlan& plan, const std::vector<LevelPlane>& planes) {
  const double half_kerf_m = plan.options.kerf_m / 2;
  double normal_m = plan.targets.front().thickness_m + half_kerf_m;
  int most = 0;
  for (std::size_t i = 1; i < planes.size(); ++i) {
    const double depth_m = spacing_m(planes[i - 1], planes[i]);
    int same = 0;
    for (std::size_t j = 1; j < planes.size(); ++j) {
      same += std::abs(spacing_m(planes[j - 1], planes[j]) - depth_m) < kSameSetting_m ? 1 : 0;
    }
    if (same > most) {
      most = same;
      normal_m = depth_m - half_kerf_m;
    }
  }
  return normal_m;
}

std::vector<Cut> level_cuts(const CutPlan& job) {
  std::vector<Cut> cuts;
  cuts.push_back(level_cut(job, job.rail.level, Piece::Kind::log,
                           {RestsOn::supports, job.rail.height.height_m + job.kit.rail_height_m}));
  cuts.back().kind = Cut::Kind::opening;
  const CutPlane& stack = job.plan.planes[job.rail.plane];
  cuts.back().plane = {stack.point_m + job.rail.above_m * stack.normal, stack.normal};
  cuts.back().piece_weight_kg = weight_between_kg(job, &job.rail.level, nullptr);
  std::vector<Cut> others = Merger(top_piece_cuts(job), log_cuts(job)).merged();
  cuts.insert(cuts.end(), std::make_move_iterator(others.begin()), std::make_move_iterator(others.end()));
  return cuts;
}

}  // namespace flitchwise::solver
