#include "solver/setup/short_cuts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "solver/plan/board_faces.hpp"

namespace flitchwise::solver {
namespace {

using Source = ShortBoard::Source;
using Boards = std::vector<const ShortBoard*>;

constexpr double kSame_m = 0.001;  // a board's end that is over by less is left: nobody trims less

bool is_from_jacket(const ShortBoard& board) {
  return board.source == Source::top_jacket || board.source == Source::bottom_jacket;
}

bool is_from_cant(const SawPlan& plan, const ShortBoard& board) {
  return !is_from_jacket(board) && plan.flitches.at(board.flitch).kind == Flitch::Kind::cant;
}

/// What a short board is sawn from.
Piece piece_of(const SawPlan& plan, const ShortBoard& board) {
  Piece piece;
  piece.kind = Piece::Kind::rest;
  piece.rest = board.source;
  piece.flitch = is_from_jacket(board) ? Piece::kNone : board.flitch;
  piece.cant = is_from_cant(plan, board);
  return piece;
}

/// The level cut that takes a layer off a jacket, from the face sawn before.
Cut jacket_cut(const CutPlan& job, const ShortBoard& board) {
  const bool top = board.source == Source::top_jacket;
  const double kerf_m = job.plan.options.kerf_m;
  const Eigen::Vector3d normal = job.plan.planes.front().normal;
  const Eigen::Vector3d upper = middle_of(board.corners_m, kUpper);
  const Eigen::Vector3d lower = middle_of(board.corners_m, kLower);
  const double thickness_m = (upper - lower).norm();
  Cut cut;
  cut.kind = Cut::Kind::level;
  cut.piece = piece_of(job.plan, board);
  cut.turned_over = true;
  const Ride ride = ride_on_face(job.kit, thickness_m + kerf_m / 2);
  cut.rests_on = ride.rests_on;
  cut.saw_depth_m = ride.saw_depth_m;
  cut.plane.point_m = (top ? upper : lower) + (top ? kerf_m : -kerf_m) / 2 * normal;
  cut.plane.normal = normal;
  LevelPlane level = top ? job.planes.front() : job.planes.back();
  const Eigen::Vector3d at = bench_from_log(job.plan.orientation.roll_rad) * cut.plane.point_m;
  level.z_m += at.z() - level.height_at(at.x());
  cut.width_m = widest_cut_m(job.log, level);
  cut.area_m2 = cut_area_m2(job.log, level);
  return cut;
}

/// Crosscuts and edging cuts of boards that lie side by side, from the left.
class StripCutter {
 public:
  StripCutter(const CutPlan& job, const Boards& boards) : job_(job), boards_(boards) {
    const ShortBoard& first = *boards.front();
    const ShortBoard& last = *boards.back();
    along_ = (middle_of(first.corners_m, kLargeEnd) - middle_of(first.corners_m, kSmallEnd)).normalized();
    left_ = (middle_of(first.corners_m, kLeft) - middle_of(first.corners_m, kRight)).normalized();
    thickness_m_ = (middle_of(first.corners_m, kUpper) - middle_of(first.corners_m, kLower)).norm();
    width_m_ = left_.dot(middle_of(first.corners_m, kLeft) - middle_of(last.corners_m, kRight));
  }

  std::vector<Cut> cuts() {
    // Boards side by side with a yaw begin a little apart, as full-length ones do: then each has its own
    // ends.
    const bool flush = is_flush(kSmallEnd) && is_flush(kLargeEnd);
    if (flush) {
      crosscut(*boards_.front(), width_m_);
    }
    edge();
    if (!flush) {
      for (const ShortBoard* board : boards_) {
        crosscut(*board, left_.dot(middle_of(board->corners_m, kLeft) - middle_of(board->corners_m, kRight)));
      }
    }
    return std::move(cuts_);
  }

 private:
  bool is_flush(const Face& end) const {
    double least = std::numeric_limits<double>::infinity();
    double most = -least;
    for (const ShortBoard* board : boards_) {
      least = std::min(least, along_.dot(middle_of(board->corners_m, end)));
      most = std::max(most, along_.dot(middle_of(board->corners_m, end)));
    }
    return most - least < kSame_m;
  }

  void crosscut(const ShortBoard& board, double width_m) {
    const double half_kerf_m = job_.plan.options.crosscut_kerf_m / 2;
    for (const bool at_start : {true, false}) {
      if (!is_trimmed(board, at_start)) {
        const Eigen::Vector3d end = middle_of(board.corners_m, at_start ? kSmallEnd : kLargeEnd);
        add(Cut::Kind::crosscut, {end + (at_start ? -half_kerf_m : half_kerf_m) * along_, along_}, width_m,
            width_m);
      }
    }
  }

  /// From the left; twice between two boards that lie further apart than a kerf.
  void edge() {
    constexpr double kSameKerf_m = 0.0001;
    const double half_kerf_m = rip_kerf_m() / 2;
    for (std::size_t i = 0; i < boards_.size(); ++i) {
      const ShortBoard& board = *boards_[i];
      const Eigen::Vector3d right = middle_of(board.corners_m, kRight);
      if (i > 0 || board.source != Source::right_edge) {
        add_edging(middle_of(board.corners_m, kLeft) + half_kerf_m * left_);
      }
      const bool last = i + 1 == boards_.size();
      const double gap_m = last ? 0 : left_.dot(right - middle_of(boards_[i + 1]->corners_m, kLeft));
      if (last ? board.source != Source::left_edge : gap_m > 2 * half_kerf_m + kSameKerf_m) {
        add_edging(right - half_kerf_m * left_);
      }
    }
  }

  double rip_kerf_m() const {
    const SearchOptions& options = job_.plan.options;
    return is_from_cant(job_.plan, *boards_.front()) ? options.kerf_m : options.rip_kerf_m;
  }

  /// Beside full-length boards, where the flitch was crosscut at the boards' own end.
  bool is_trimmed(const ShortBoard& board, bool at_start) const {
    if (board.source != Source::left_edge && board.source != Source::right_edge) {
      return false;
    }
    const double end_m = along_.dot(middle_of(board.corners_m, at_start ? kSmallEnd : kLargeEnd));
    for (const std::size_t index : job_.plan.flitches.at(board.flitch).boards) {
      const double full_m =
          along_.dot(middle_of(job_.plan.boards[index].corners_m, at_start ? kSmallEnd : kLargeEnd));
      if (std::abs(full_m - end_m) < kSame_m) {
        return true;
      }
    }
    return false;
  }

  void add_edging(const Eigen::Vector3d& point_m) {
    add(Cut::Kind::edging, {point_m, left_}, thickness_m_, boards_.front()->length_m);
  }

  void add(Cut::Kind kind, const CutPlane& plane, double width_m, double long_m) {
    Cut cut;
    cut.kind = kind;
    cut.piece = piece_of(job_.plan, *boards_.front());
    cut.rests_on = kind == Cut::Kind::crosscut ? RestsOn::bearers : RestsOn::chalk_line;
    cut.plane = plane;
    cut.width_m = width_m;
    cut.area_m2 = (kind == Cut::Kind::crosscut ? thickness_m_ : width_m) * long_m;
    cuts_.push_back(std::move(cut));
  }

  const CutPlan& job_;
  const Boards& boards_;
  Eigen::Vector3d along_;
  Eigen::Vector3d left_;
  double thickness_m_ = 0;
  double width_m_ = 0;
  std::vector<Cut> cuts_;
};

}  // namespace

std::vector<Cut> short_cuts(const CutPlan& job) {
  std::map<std::size_t, Boards> strips;
  for (const ShortBoard& board : job.plan.short_boards) {
    strips[board.strip].push_back(&board);
  }
  std::vector<Cut> cuts;
  const ShortBoard* before = nullptr;
  for (const auto& [strip, boards] : strips) {
    const ShortBoard& first = *boards.front();
    const bool sawn = before != nullptr && before->source == first.source && before->layer == first.layer;
    if (is_from_jacket(first) && !sawn) {
      cuts.push_back(jacket_cut(job, first));
    }
    const std::vector<Cut> more = StripCutter(job, boards).cuts();
    cuts.insert(cuts.end(), more.begin(), more.end());
    before = &first;
  }
  return cuts;
}

}  // namespace flitchwise::solver
