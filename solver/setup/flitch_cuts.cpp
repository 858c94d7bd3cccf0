#include "solver/setup/flitch_cuts.hpp"

#include <algorithm>
#include <iterator>
#include <limits>
#include <map>

#include "solver/plan/board_faces.hpp"

namespace flitchwise::solver {
namespace {

/// Faces that lie this near to each other are the same: far below what a saw can follow.
constexpr double kSame_m = 0.0001;
/// A board's end that is over by less than this is left: nobody trims less.
constexpr double kTrim_m = 0.001;

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

Place place_in(const Window& window, const Board& board) {
  const auto along_m = [&](const Face& end) { return window.along.dot(middle_of(board.corners_m, end)); };
  const auto across_m = [&](const Face& side) { return window.left.dot(middle_of(board.corners_m, side)); };
  return {&board, along_m(kSmallEnd), along_m(kLargeEnd), across_m(kLeft), across_m(kRight)};
}

Window make_window(std::size_t number, const std::vector<const Board*>& boards) {
  Window window;
  window.number = number;
  Eigen::Vector3d along = Eigen::Vector3d::Zero();
  Eigen::Vector3d left = Eigen::Vector3d::Zero();
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Board* board : boards) {
    along += middle_of(board->corners_m, kLargeEnd) - middle_of(board->corners_m, kSmallEnd);
    left += middle_of(board->corners_m, kLeft) - middle_of(board->corners_m, kRight);
    middle += middle_of(board->corners_m, kSmallEnd) + middle_of(board->corners_m, kLargeEnd);
  }
  window.along = along.normalized();
  window.left = left.normalized();
  window.middle = middle / (2 * static_cast<double>(boards.size()));
  window.thickness_m = (boards.front()->corners_m[3] - boards.front()->corners_m[0]).norm();
  window.places.reserve(boards.size());
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
  windows.reserve(by_number.size());
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

/// The stretch of a flitch that holds one window's boards, along the flitch.
struct Stretch {
  double from_m = 0;
  double to_m = 0;
};

/// One flitch while it is cut up.
class FlitchCutter {
 public:
  FlitchCutter(const CutPlan& job, std::size_t index)
      : job_(job),
        index_(index),
        cant_(job.plan.flitches[index].kind == Flitch::Kind::cant),
        windows_(windows_of(job.plan, job.plan.flitches[index])) {
    const Flitch& flitch = job.plan.flitches[index];
    const double half_kerf_m = job.plan.options.kerf_m / 2;
    slab_.push_back(below(job.planes[flitch.upper_plane], -half_kerf_m));
    faces_.push_back(job.planes[flitch.upper_plane]);
    if (flitch.lower_plane < job.planes.size()) {
      slab_.push_back(above(job.planes[flitch.lower_plane], half_kerf_m));
      faces_.push_back(job.planes[flitch.lower_plane]);
    }
    const LevelPlane& face = faces_.front();
    const Eigen::Vector3d uphill(face.cosine, 0, face.slope * face.cosine);
    length_ = bench_from_log(job.plan.orientation.roll_rad).transpose() * uphill;
    half_crosscut_m_ = job.plan.options.crosscut_kerf_m / 2;
    half_rip_m_ = (cant_ ? job.plan.options.kerf_m : job.plan.options.rip_kerf_m) / 2;
  }

  std::vector<Cut> cuts() {
    part();
    for (std::size_t i = 0; i < windows_.size(); ++i) {
      const Window& window = windows_[i];
      for (const bool at_start : {true, false}) {
        if (is_flush(window, at_start)) {
          trim_window(window, stretches_[i], at_start);
        }
      }
      edge(window);
      for (const Place& place : window.places) {
        for (const bool at_start : {true, false}) {
          if (!is_flush(window, at_start)) {
            trim_board(window, place, stretches_[i], at_start);
          }
        }
      }
    }
    return std::move(cuts_);
  }

 private:
  /// Crosscuts square to the flitch between neighbouring windows, in the middle of the room that their boards
  /// leave. Boards of different yaw are not square to each other, so that no cut square to either would do.
  void part() {
    const auto [first_x_m, last_x_m] = job_.log.extent_x_m();
    double from_m = along_flitch_m(first_x_m);
    for (std::size_t i = 1; i < windows_.size(); ++i) {
      const double at_m = (extent(windows_[i - 1]).to_m + extent(windows_[i]).from_m) / 2;
      Cut cut = crosscut({length_ * (at_m - length_.dot(windows_[i].middle)) + windows_[i].middle, length_});
      cut.piece_weight_kg = weight_kg(from_m, at_m - half_crosscut_m_);
      cuts_.push_back(std::move(cut));
      stretches_.push_back({from_m, at_m - half_crosscut_m_});
      from_m = at_m + half_crosscut_m_;
    }
    stretches_.push_back({from_m, along_flitch_m(last_x_m)});
  }

  /// Distance along the flitch of where its upper face has this x.
  double along_flitch_m(double x_m) const {
    const Eigen::Vector3d bench(x_m, 0, faces_.front().height_at(x_m));
    return length_.dot(bench_from_log(job_.plan.orientation.roll_rad).transpose() * bench);
  }

  /// Where a window's boards begin and end along the flitch.
  Stretch extent(const Window& window) const {
    Stretch extent{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (const Place& place : window.places) {
      for (const Eigen::Vector3d& corner : place.board->corners_m) {
        extent.from_m = std::min(extent.from_m, length_.dot(corner));
        extent.to_m = std::max(extent.to_m, length_.dot(corner));
      }
    }
    return extent;
  }

  /// Longest stub that stands out beyond a board's end, up to the end of its stretch of the flitch.
  double stub_m(const Board& board, const Stretch& stretch, bool at_start) const {
    double longest = 0;
    for (std::size_t corner = 0; corner < 4; ++corner) {
      const double stub = at_start ? length_.dot(board.corners_m[corner]) - stretch.from_m
                                   : stretch.to_m - length_.dot(board.corners_m[corner + 4]);
      longest = std::max(longest, stub);
    }
    return longest;
  }

  static bool is_flush(const Window& window, bool at_start) {
    double Place::*const end = at_start ? &Place::start_m : &Place::end_m;
    const auto [least, most] =
        std::minmax_element(window.places.begin(), window.places.end(),
                            [&](const Place& a, const Place& b) { return a.*end < b.*end; });
    return *most.*end - *least.*end <= kTrim_m;
  }

  /// One crosscut for all boards of the window, square to them.
  void trim_window(const Window& window, const Stretch& stretch, bool at_start) {
    const bool needed = std::any_of(window.places.begin(), window.places.end(), [&](const Place& place) {
      return stub_m(*place.board, stretch, at_start) > kTrim_m;
    });
    if (!needed) {
      return;
    }
    const double at_m = at_start ? window.start_m - half_crosscut_m_ : window.end_m + half_crosscut_m_;
    Cut cut = crosscut(plane_at(window, window.along, at_m));
    cut.piece.window = window.number;
    const double along_m = length_.dot(cut.plane.point_m);
    cut.piece_weight_kg = at_start ? weight_kg(stretch.from_m, along_m - half_crosscut_m_)
                                   : weight_kg(along_m + half_crosscut_m_, stretch.to_m);
    cuts_.push_back(std::move(cut));
  }

  /// A crosscut through one board after edging, where its neighbours end elsewhere.
  void trim_board(const Window& window, const Place& place, const Stretch& stretch, bool at_start) {
    const double stub = stub_m(*place.board, stretch, at_start);
    if (stub <= kTrim_m) {
      return;
    }
    const double at_m = at_start ? place.start_m - half_crosscut_m_ : place.end_m + half_crosscut_m_;
    Cut cut = flitch_cut(Cut::Kind::crosscut, plane_at(window, window.along, at_m));
    cut.piece.kind = Piece::Kind::board;
    cut.piece.board = place.board->id;
    cut.rests_on = RestsOn::bearers;
    cut.width_m = place.left_m - place.right_m;
    cut.area_m2 = cut.width_m * window.thickness_m;
    cut.piece_weight_kg =
        job_.density_kg_m3 * cut.width_m * window.thickness_m * std::max(stub - 2 * half_crosscut_m_, 0.0);
    cuts_.push_back(std::move(cut));
  }

  /// A crosscut through the whole flitch, its width over bark.
  Cut crosscut(const CutPlane& plane) const {
    const double thickness_m = windows_.front().thickness_m;
    Cut cut = flitch_cut(Cut::Kind::crosscut, plane);
    cut.rests_on = RestsOn::bearers;
    const BenchSection section = job_.log.section_at(plane.point_m.x());
    for (const LevelPlane& face : faces_) {
      if (const auto chord = chord_at(section, face.height_at(plane.point_m.x()))) {
        cut.width_m = std::max(cut.width_m, chord->second - chord->first);
      }
    }
    cut.area_m2 = cut.width_m * thickness_m;
    return cut;
  }

  /// Weight of a stretch of the flitch; its ends count as square to x, which the pitch hardly changes.
  double weight_kg(double from_m, double to_m) const {
    const double zero_m = along_flitch_m(0);
    const double cosine = faces_.front().cosine;
    return job_.density_kg_m3 *
           job_.log.volume_m3(slab_, (from_m - zero_m) * cosine, (to_m - zero_m) * cosine);
  }

  /// Distances across at which the window is ripped, from the left: outside the outer boards and once between
  /// two neighbours that lie a kerf apart, twice where they lie further apart.
  std::vector<double> rip_places(const Window& window) const {
    const double half_kerf_m = half_rip_m_;
    std::vector<double> places{window.places.front().left_m + half_kerf_m};
    for (std::size_t i = 1; i < window.places.size(); ++i) {
      const double left_edge_m = window.places[i - 1].right_m;
      const double right_edge_m = window.places[i].left_m;
      if (left_edge_m - right_edge_m <= 2 * half_kerf_m + kSame_m) {
        places.push_back((left_edge_m + right_edge_m) / 2);
      } else {
        places.push_back(left_edge_m - half_kerf_m);
        places.push_back(right_edge_m + half_kerf_m);
      }
    }
    places.push_back(window.places.back().right_m - half_kerf_m);
    return places;
  }

  /// What an edging cut rides on: the edge sawn before where the saw can be set for it.
  Ride ride_on_edge(double depth_m, bool first) const {
    const bool rides = !first && depth_m >= job_.kit.saw_depth_min_m && depth_m <= job_.kit.saw_depth_max_m;
    return rides ? Ride{RestsOn::sawn_edge, depth_m} : Ride{RestsOn::chalk_line, 0};
  }

  /// What a cut of a turned cant rides on. The first: the rail, whose height is lay_on_cants()'s to choose.
  Ride ride_on_cant(double depth_m, bool first) const {
    return first ? Ride{RestsOn::supports, 0} : ride_on_face(job_.kit, depth_m);
  }

  void edge(const Window& window) {
    const double from_x_m = plane_at(window, window.along, window.start_m).point_m.x();
    const double to_x_m = plane_at(window, window.along, window.end_m).point_m.x();
    const Eigen::Vector3d left = bench_from_log(job_.plan.orientation.roll_rad) * window.left;
    double before_m = 0;
    bool first = true;
    for (const double place_m : rip_places(window)) {
      Cut cut =
          flitch_cut(cant_ ? Cut::Kind::cant : Cut::Kind::edging, plane_at(window, window.left, place_m));
      cut.piece.window = window.number;
      const double depth_m = before_m - place_m - half_rip_m_;
      const Ride ride = cant_ ? ride_on_cant(depth_m, first) : ride_on_edge(depth_m, first);
      cut.rests_on = ride.rests_on;
      cut.saw_depth_m = ride.saw_depth_m;
      cut.width_m = window.thickness_m;
      cut.area_m2 = window.thickness_m * (window.end_m - window.start_m);
      std::vector<HalfSpace> spaces = slab_;
      spaces.push_back({-left, -(place_m + half_rip_m_)});
      if (!first) {
        spaces.push_back({left, before_m - half_rip_m_});
      }
      cut.piece_weight_kg = job_.density_kg_m3 * job_.log.volume_m3(spaces, from_x_m, to_x_m);
      cuts_.push_back(std::move(cut));
      before_m = place_m;
      first = false;
    }
  }

  Cut flitch_cut(Cut::Kind kind, const CutPlane& plane) const {
    Cut cut;
    cut.kind = kind;
    cut.piece.kind = Piece::Kind::flitch;
    cut.piece.flitch = index_;
    cut.piece.parted = windows_.size() > 1;
    cut.piece.cant = cant_;
    cut.plane = plane;
    return cut;
  }

  const CutPlan& job_;
  std::size_t index_ = 0;  ///< of the flitch
  bool cant_ = false;
  std::vector<Window> windows_;
  std::vector<HalfSpace> slab_;    ///< the flitch's two faces
  std::vector<LevelPlane> faces_;  ///< the planes that made them
  Eigen::Vector3d length_;         ///< along the flitch, log frame
  double half_crosscut_m_ = 0;
  double half_rip_m_ = 0;
  std::vector<Stretch> stretches_;  ///< one a window, once the windows are parted
  std::vector<Cut> cuts_;
};

}  // namespace

std::vector<Cut> flitch_cuts(const CutPlan& job) {
  std::vector<Cut> cuts;
  for (const Flitch::Kind kind : {Flitch::Kind::cant, Flitch::Kind::flat}) {
    for (std::size_t i = 0; i < job.plan.flitches.size(); ++i) {
      if (job.plan.flitches[i].kind != kind || job.plan.flitches[i].boards.empty()) {
        continue;
      }
      std::vector<Cut> more = FlitchCutter(job, i).cuts();
      cuts.insert(cuts.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    }
  }
  return cuts;
}

}  // namespace flitchwise::solver
