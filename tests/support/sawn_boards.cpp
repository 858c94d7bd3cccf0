#include "tests/support/sawn_boards.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "tests/support/sawn_log.hpp"
#include "tests/support/true_log.hpp"

namespace flitchwise::testing {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using solver::Cut;
using solver::CutPlane;

class Sawyer : private TrueLog {
 public:
  Sawyer(const PlannedLog& planned, const simulate::Truth& truth) : TrueLog(planned, truth) {}

  SawnBoards saw(const Layout& layout) const {
    constexpr double kWhole_m2 = 1e-6;    // 1 mm2: a corner of 1.4 by 1.4 mm
    constexpr double kWane_m2 = 12.5e-6;  // a corner of 5 by 5 mm
    const auto& boards = planned_.plan.boards;
    std::vector<double> missing_m2(boards.size(), 0);
    std::vector<double> size_m(boards.size(), 0);
    for (std::size_t s = 0; s < truth_.stations.size(); s += 2) {
      const simulate::TruthStation& station = truth_.stations[s];
      const std::vector<Outline> pieces =
          sawn_pieces(outline_of(station, station.wood_radius_m), kerfs_at(station.x_m, layout), station.x_m);
      for (std::size_t b = 0; b < boards.size(); ++b) {
        const Outline board = board_at(boards[b], station.x_m, layout);
        if (board.empty()) {
          continue;
        }
        const Vector2d middle = (board[0] + board[1] + board[2] + board[3]) / 4;
        const auto piece =
            std::find_if(pieces.begin(), pieces.end(), [&](const Outline& p) { return contains(p, middle); });
        if (piece == pieces.end()) {
          missing_m2[b] = std::max(missing_m2[b], area_m2(board));
          continue;
        }
        // Too much wood on a piece is as wrong as too little.
        missing_m2[b] =
            std::max({missing_m2[b], area_outside_m2(board, *piece), area_outside_m2(*piece, board)});
        size_m[b] = std::max(size_m[b], size_error_m(*piece, board));
      }
    }
    SawnBoards sawn;
    for (std::size_t b = 0; b < boards.size(); ++b) {
      const bool whole = missing_m2[b] <= kWhole_m2;
      sawn.whole += whole ? 1 : 0;
      sawn.fallen += missing_m2[b] <= kWane_m2 ? 1 : 0;
      sawn.worst_missing_m2 = std::max(sawn.worst_missing_m2, missing_m2[b]);
      sawn.worst_size_error_m = std::max(sawn.worst_size_error_m, whole ? size_m[b] : 0);
      sawn.worst_length_error_m = std::max(sawn.worst_length_error_m, length_error_m(boards[b]));
    }
    return sawn;
  }

 private:
  static Shift left_shift(const Layout& layout, std::size_t flitch, std::size_t window) {
    const auto found = layout.left.find({flitch, window});
    return found == layout.left.end() ? Shift{} : found->second;
  }

  CutPlane moved_level(const CutPlane& in_log, const Layout& layout) const {
    CutPlane plane = in_bench(in_log);
    plane.point_m.z() += layout.up.at(plane.point_m.x());
    plane.normal.x() -= layout.up.slope * plane.normal.z();
    plane.normal.normalize();
    return in_true_log(plane);
  }

  CutPlane moved_edge(const Cut& cut, const Layout& layout) const {
    const Shift left = left_shift(layout, cut.piece.flitch, cut.piece.window);
    CutPlane plane = in_bench(cut.plane);
    plane.point_m.y() += left.at(plane.point_m.x());
    plane.normal.x() -= left.slope * plane.normal.y();
    plane.normal.normalize();
    return in_true_log(plane);
  }

  /// All kerfs that pass a section at this x of the true log.
  std::vector<Kerf> kerfs_at(double true_x_m, const Layout& layout) const {
    const double x_m = bench_from_true({true_x_m, 0, 0}).x();
    const solver::SearchOptions& options = planned_.plan.options;
    std::vector<Kerf> kerfs;
    for (const Cut& cut : sheet_.cuts) {
      if (cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level) {
        kerfs.push_back(
            {moved_level(cut.plane, layout), -options.kerf_m / 2, options.kerf_m / 2, false, {}, {}});
      } else if (cut.kind != Cut::Kind::crosscut && within_window(cut, x_m)) {
        const double half_m = (cut.kind == Cut::Kind::cant ? options.kerf_m : options.rip_kerf_m) / 2;
        const solver::Flitch& flitch = planned_.plan.flitches[cut.piece.flitch];
        kerfs.push_back({moved_edge(cut, layout), -half_m, half_m, true,
                         moved_level(planned_.plan.planes[flitch.upper_plane], layout),
                         moved_level(planned_.plan.planes[flitch.lower_plane], layout)});
      }
    }
    return kerfs;
  }

  bool within_window(const Cut& cut, double x_m) const {
    for (const solver::FlitchLayout& layout : sheet_.flitches) {
      for (const solver::EdgingWindow& window : layout.windows) {
        if (layout.flitch == cut.piece.flitch && window.window == cut.piece.window) {
          return x_m >= window.start_m && x_m <= window.end_m;
        }
      }
    }
    return false;
  }

  /// A board's section at x of the true log, as its cuts come to lie; empty beyond its ends.
  Outline board_at(const solver::Board& board, double true_x_m, const Layout& layout) const {
    const Shift left = left_shift(layout, board.flitch, board.window);
    std::vector<Vector3d> corners;
    for (const Vector3d& corner : board.corners_m) {
      Vector3d at = bench(corner);
      at += Vector3d(0, left.at(at.x()), layout.up.at(at.x()));
      corners.push_back(true_log(at));
    }
    Outline outline;
    for (std::size_t i = 0; i < 4; ++i) {
      const Vector3d& a = corners[i];
      const Vector3d& b = corners[i + 4];
      if (true_x_m < a.x() || true_x_m > b.x()) {
        return {};
      }
      const Vector3d at = a + (true_x_m - a.x()) / (b.x() - a.x()) * (b - a);
      outline.emplace_back(at.y(), at.z());
    }
    return outline;
  }

  /// Largest difference of a piece's thickness and width from the board's, square to the board's sides.
  static double size_error_m(const Outline& piece, const Outline& board) {
    double worst = 0;
    for (const std::size_t side : {1U, 3U}) {
      const Vector2d axis = (board[side] - board[0]).normalized();
      double least = std::numeric_limits<double>::infinity();
      double most = -least;
      for (const Vector2d& corner : piece) {
        least = std::min(least, axis.dot(corner));
        most = std::max(most, axis.dot(corner));
      }
      worst = std::max(worst, std::abs(most - least - (board[side] - board[0]).norm()));
    }
    return worst;
  }

  /// Of a board from the crosscut before it to the one behind it, or to the true log's ends, against its
  /// target.
  double length_error_m(const solver::Board& board) const {
    const double half_m = planned_.plan.options.crosscut_kerf_m / 2;
    Vector3d small = Vector3d::Zero();
    Vector3d large = Vector3d::Zero();
    for (std::size_t i = 0; i < 4; ++i) {
      small += board.corners_m[i] / 4;
      large += board.corners_m[i + 4] / 4;
    }
    const Vector3d along = (large - small).normalized();
    const Vector3d middle = (small + large) / 2;
    const double target_m = planned_.plan.targets[board.target].length_m;
    const auto to_end_m = [&](bool large_end) {
      const Vector3d at = bench(middle);
      const double x_m = end_x_m(large_end, at.y(), at.z());
      return std::abs(x_m - at.x());
    };
    double before_m = to_end_m(false);
    double behind_m = to_end_m(true);
    for (const Cut& cut : sheet_.cuts) {
      const bool mine = cut.kind == Cut::Kind::crosscut && cut.piece.flitch == board.flitch &&
                        (cut.piece.kind == solver::Piece::Kind::flitch || cut.piece.board == board.id);
      if (mine) {
        const double at_m = cut.plane.normal.dot(cut.plane.point_m - middle) / cut.plane.normal.dot(along);
        (at_m < 0 ? before_m : behind_m) = std::min(at_m < 0 ? before_m : behind_m, std::abs(at_m) - half_m);
      }
    }
    return std::abs(before_m + behind_m - target_m);
  }
};

}  // namespace

SawnBoards saw_boards(const PlannedLog& planned, const simulate::Truth& truth, const Layout& layout) {
  return Sawyer(planned, truth).saw(layout);
}

}  // namespace flitchwise::testing
