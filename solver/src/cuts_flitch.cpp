#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "cuts.hpp"

namespace flitchwise::solver {
namespace {

/// Faces and ends that lie this near to each other are the same: far below what a saw can follow.
constexpr double kSameM = 0.0001;
/// A log that ends this near to a board's end needs no crosscut there.
constexpr double kTrimM = 0.001;

/// A board as its flitch sees it: along and across its boards' common axes.
struct Place {
  const Board* board = nullptr;
  double start_m = 0;  ///< along the boards
  double end_m = 0;
  double left_m = 0;  ///< across, to the left
  double right_m = 0;
};

/// The boards of one length window of one flitch, from the left. Log frame.
struct Window {
  std::size_t number = 0;  ///< index, from the small end
  Eigen::Vector3d along = Eigen::Vector3d::UnitX();
  Eigen::Vector3d left = Eigen::Vector3d::UnitY();
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();  ///< of all its boards' corners
  double thickness_m = 0;
  double start_m = 0;  ///< of the boards that begin first
  double end_m = 0;
  std::vector<Place> places;
};

Eigen::Vector3d face_mean(const Board& board, std::array<std::size_t, 4> corners) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (const std::size_t corner : corners) {
    sum += board.corners_m[corner];
  }
  return sum / static_cast<double>(corners.size());
}

Place place_in(const Window& window, const Board& board) {
  Place place;
  place.board = &board;
  place.start_m = window.along.dot(face_mean(board, {0, 1, 2, 3}));
  place.end_m = window.along.dot(face_mean(board, {4, 5, 6, 7}));
  place.left_m = window.left.dot(face_mean(board, {0, 3, 4, 7}));
  place.right_m = window.left.dot(face_mean(board, {1, 2, 5, 6}));
  return place;
}

Window make_window(std::size_t number, const std::vector<const Board*>& boards) {
  Window window;
  window.number = number;
  Eigen::Vector3d along = Eigen::Vector3d::Zero();
  Eigen::Vector3d left = Eigen::Vector3d::Zero();
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Board* board : boards) {
    along += face_mean(*board, {4, 5, 6, 7}) - face_mean(*board, {0, 1, 2, 3});
    left += face_mean(*board, {0, 3, 4, 7}) - face_mean(*board, {1, 2, 5, 6});
    middle += face_mean(*board, {0, 1, 2, 3}) + face_mean(*board, {4, 5, 6, 7});
  }
  window.along = along.normalized();
  window.left = left.normalized();
  window.middle = middle / (2 * static_cast<double>(boards.size()));
  window.thickness_m = (boards.front()->corners_m[3] - boards.front()->corners_m[0]).norm();
  for (const Board* board : boards) {
    window.places.push_back(place_in(window, *board));
  }
  std::sort(window.places.begin(), window.places.end(),
            [](const Place& a, const Place& b) { return a.left_m > b.left_m; });
  window.start_m = window.places.front().start_m;
  window.end_m = window.places.front().end_m;
  for (const Place& place : window.places) {
    window.start_m = std::min(window.start_m, place.start_m);
    window.end_m = std::max(window.end_m, place.end_m);
  }
  return window;
}

std::vector<Window> windows_of(const SawPlan& plan, const Flitch& flitch) {
  std::map<std::size_t, std::vector<const Board*>> by_number;
  for (const std::size_t board : flitch.boards) {
    by_number[plan.boards[board].window].push_back(&plan.boards[board]);
  }
  std::vector<Window> windows;
  for (const auto& [number, boards] : by_number) {
    windows.push_back(make_window(number, boards));
  }
  return windows;
}

/// The plane across or along a window's boards at this distance along `axis`, its point in the middle of the
/// flitch.
CutPlane plane_at(const Window& window, const Eigen::Vector3d& axis, double at_m) {
  return {window.middle + (at_m - axis.dot(window.middle)) * axis, axis};
}

/// One flitch while it is cut up.
class FlitchCutter {
 public:
  FlitchCutter(const CutPlan& job, std::size_t index)
      : job_(job),
        name_("flitch " + std::to_string(index + 1)),
        windows_(windows_of(job.plan, job.plan.flitches[index])) {
    const Flitch& flitch = job.plan.flitches[index];
    const double half_kerf_m = job.plan.options.kerf_m / 2;
    slab_.push_back(below(job.planes[flitch.upper_plane], -half_kerf_m));
    faces_.push_back(job.planes[flitch.upper_plane]);
    if (flitch.lower_plane < job.planes.size()) {
      slab_.push_back(above(job.planes[flitch.lower_plane], half_kerf_m));
      faces_.push_back(job.planes[flitch.lower_plane]);
    }
  }

  std::vector<Cut> cuts() {
    part_and_trim();
    for (const Window& window : windows_) {
      edge(window);
    }
    for (const Window& window : windows_) {
      trim_boards(window);
    }
    return std::move(cuts_);
  }

 private:
  /// Crosscuts at both ends of every window; two windows end to end share one where they are a kerf apart.
  void part_and_trim() {
    const double half_kerf_m = job_.plan.options.crosscut_kerf_m / 2;
    const auto [first_x_m, last_x_m] = job_.log.extent_x_m();
    double from_x_m = 0;
    for (const Window& window : windows_) {
      const CutPlane start = plane_at(window, window.along, window.start_m - half_kerf_m);
      const CutPlane end = plane_at(window, window.along, window.end_m + half_kerf_m);
      if (start.point_m.x() + half_kerf_m - first_x_m > kTrimM && !same_as_last(start)) {
        crosscut(start, from_x_m);
        from_x_m = start.point_m.x() + half_kerf_m;
      }
      if (last_x_m - end.point_m.x() + half_kerf_m > kTrimM) {
        crosscut(end, from_x_m);
        from_x_m = end.point_m.x() + half_kerf_m;
      }
    }
  }

  bool same_as_last(const CutPlane& plane) const {
    if (cuts_.empty() || cuts_.back().kind != Cut::Kind::crosscut) {
      return false;
    }
    const CutPlane& last = cuts_.back().plane;
    constexpr double kSameDirection = 1 - 1e-10;
    return last.normal.dot(plane.normal) > kSameDirection &&
           std::abs(plane.normal.dot(plane.point_m - last.point_m)) < kSameM;
  }

  void crosscut(const CutPlane& plane, double from_x_m) {
    const double half_kerf_m = job_.plan.options.crosscut_kerf_m / 2;
    const double x_m = plane.point_m.x();
    Cut cut = flitch_cut(Cut::Kind::crosscut, name_, plane);
    cut.rests_on = "bearers, square line across the flitch";
    for (const LevelPlane& face : faces_) {
      if (const auto chord = chord_at(job_.log.section_at(x_m), face.height_at(x_m))) {
        cut.width_m = std::max(cut.width_m, chord->second - chord->first);
      }
    }
    cut.piece_weight_kg = job_.density_kg_m3 * job_.log.volume_m3(slab_, from_x_m, x_m - half_kerf_m);
    cuts_.push_back(std::move(cut));
  }

  /// Distances across at which the window is ripped, from the left: outside the outer boards and once between
  /// two neighbours that lie a kerf apart, twice where they lie further apart.
  std::vector<double> rip_places(const Window& window) const {
    const double half_kerf_m = job_.plan.options.rip_kerf_m / 2;
    std::vector<double> places{window.places.front().left_m + half_kerf_m};
    for (std::size_t i = 1; i < window.places.size(); ++i) {
      const double left_edge_m = window.places[i - 1].right_m;
      const double right_edge_m = window.places[i].left_m;
      if (left_edge_m - right_edge_m <= 2 * half_kerf_m + kSameM) {
        places.push_back((left_edge_m + right_edge_m) / 2);
      } else {
        places.push_back(left_edge_m - half_kerf_m);
        places.push_back(right_edge_m + half_kerf_m);
      }
    }
    places.push_back(window.places.back().right_m - half_kerf_m);
    return places;
  }

  void edge(const Window& window) {
    const double half_kerf_m = job_.plan.options.rip_kerf_m / 2;
    const std::string piece =
        windows_.size() > 1 ? name_ + ", length " + std::to_string(window.number + 1) : name_;
    const double from_x_m = plane_at(window, window.along, window.start_m).point_m.x();
    const double to_x_m = plane_at(window, window.along, window.end_m).point_m.x();
    const Eigen::Matrix3d turn = bench_from_log(job_.plan.orientation.roll_rad);
    const Eigen::Vector3d left = turn * window.left;
    double before_m = 0;
    bool first = true;
    for (const double place_m : rip_places(window)) {
      Cut cut = flitch_cut(Cut::Kind::edging, piece, plane_at(window, window.left, place_m));
      const double depth_m = before_m - place_m - half_kerf_m;
      const bool rides = !first && depth_m >= job_.kit.saw_depth_min_m && depth_m <= job_.kit.saw_depth_max_m;
      cut.rests_on = rides ? "sawn edge of the flitch" : "flitch, along a chalk line";
      cut.saw_depth_m = rides ? depth_m : 0;
      cut.width_m = window.thickness_m;
      std::vector<HalfSpace> spaces = slab_;
      spaces.push_back({-left, -(place_m + half_kerf_m)});
      if (!first) {
        spaces.push_back({left, before_m - half_kerf_m});
      }
      cut.piece_weight_kg = job_.density_kg_m3 * job_.log.volume_m3(spaces, from_x_m, to_x_m);
      cuts_.push_back(std::move(cut));
      before_m = place_m;
      first = false;
    }
  }

  /// Boards that begin or end apart from the window's outermost ones.
  void trim_boards(const Window& window) {
    const double half_kerf_m = job_.plan.options.crosscut_kerf_m / 2;
    for (const Place& place : window.places) {
      if (place.start_m > window.start_m + kSameM) {
        trim_board(window, place, place.start_m - half_kerf_m);
      }
      if (place.end_m < window.end_m - kSameM) {
        trim_board(window, place, place.end_m + half_kerf_m);
      }
    }
  }

  void trim_board(const Window& window, const Place& place, double at_m) {
    const double half_kerf_m = job_.plan.options.crosscut_kerf_m / 2;
    Cut cut =
        flitch_cut(Cut::Kind::crosscut, "board " + place.board->id, plane_at(window, window.along, at_m));
    cut.rests_on = "bearers, square line across the board";
    cut.width_m = place.left_m - place.right_m;
    const double stub_m = (at_m < place.start_m ? at_m - window.start_m : window.end_m - at_m) - half_kerf_m;
    cut.piece_weight_kg = job_.density_kg_m3 * cut.width_m * window.thickness_m * std::max(stub_m, 0.0);
    cuts_.push_back(std::move(cut));
  }

  static Cut flitch_cut(Cut::Kind kind, const std::string& piece, const CutPlane& plane) {
    Cut cut;
    cut.kind = kind;
    cut.piece = piece;
    cut.plane = plane;
    return cut;
  }

  const CutPlan& job_;
  std::string name_;
  std::vector<Window> windows_;
  std::vector<HalfSpace> slab_;    ///< the flitch's two faces
  std::vector<LevelPlane> faces_;  ///< the planes that made them
  std::vector<Cut> cuts_;
};

}  // namespace

std::vector<Cut> flitch_cuts(const CutPlan& job) {
  std::vector<Cut> cuts;
  for (std::size_t i = 0; i < job.plan.flitches.size(); ++i) {
    if (!job.plan.flitches[i].boards.empty()) {
      std::vector<Cut> more = FlitchCutter(job, i).cuts();
      cuts.insert(cuts.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    }
  }
  return cuts;
}

}  // namespace flitchwise::solver
