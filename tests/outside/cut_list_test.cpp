/// The cut list carried out on the log: cross-sections are sawn by Boost.Geometry's polygon difference, and
/// what falls off is counted and measured. Shares no geometry with the solver.

#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "solver/search/search.hpp"
#include "solver/setup/kit_file.hpp"
#include "solver/setup/setup.hpp"
#include "tests/support/random_log.hpp"
#include "tests/support/sawn_log.hpp"

using namespace flitchwise;
using namespace flitchwise::solver;
using flitchwise::testing::Kerf;
using flitchwise::testing::Outline;

namespace {

constexpr double kFar = 2;  // m: outside any log
constexpr double kTolerance_m = 2e-5;

Outline bark_at(const LogModel& log, double x_m) {
  const Eigen::MatrixX2d corners = bark_outline_m(station_at(log, x_m));
  Outline outline;
  for (Eigen::Index i = 0; i < corners.rows(); ++i) {
    outline.emplace_back(corners.row(i));
  }
  return outline;
}

/// The kerf of an edging cut, or of a cut of a turned cant, reaches through its own flitch alone.
Kerf edging_kerf(const SawPlan& plan, const Cut& cut) {
  const bool cant = cut.kind == Cut::Kind::cant;
  const double half_m = (cant ? plan.options.kerf_m : plan.options.rip_kerf_m) / 2;
  const Flitch& flitch = plan.flitches[cut.piece.flitch];
  return {cut.plane, -half_m, half_m, true, plan.planes[flitch.upper_plane], plan.planes[flitch.lower_plane]};
}

/// x between which a flitch's boards of one window are ripped: from crosscut to crosscut, else to the log's
/// ends.
bool within_window(const SetupSheet& sheet, const Cut& rip, double x_m) {
  for (const FlitchLayout& layout : sheet.flitches) {
    for (const EdgingWindow& window : layout.windows) {
      if (layout.flitch == rip.piece.flitch && window.window == rip.piece.window) {
        return x_m >= window.start_m && x_m <= window.end_m;
      }
    }
  }
  return false;
}

/// What is left of a cross-section once every level cut and every cut along a flitch that passes it is made.
std::vector<Outline> pieces_at(const LogModel& log, const SawPlan& plan, const SetupSheet& sheet,
                               double x_m) {
  std::vector<Kerf> kerfs;
  for (const Cut& cut : sheet.cuts) {
    if (cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level) {
      kerfs.push_back({cut.plane, -plan.options.kerf_m / 2, plan.options.kerf_m / 2, false, {}, {}});
    } else if (cut.kind != Cut::Kind::crosscut && within_window(sheet, cut, x_m)) {
      kerfs.push_back(edging_kerf(plan, cut));
    }
  }
  return testing::sawn_pieces(bark_at(log, x_m), kerfs, x_m);
}

/// The section of a board at x, from its corners.
Outline board_at(const Board& board, double x_m) {
  Outline outline;
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d from = board.corners_m[i];
    const Eigen::Vector3d to = board.corners_m[i + 4];
    const Eigen::Vector3d at = from + (x_m - from.x()) / (to.x() - from.x()) * (to - from);
    outline.emplace_back(at.y(), at.z());
  }
  return outline;
}

double perimeter_m(const Outline& outline) {
  double sum = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    sum += (outline[(i + 1) % outline.size()] - outline[i]).norm();
  }
  return sum;
}

bool reaches(const Board& board, double x_m) {
  const auto below = [&](std::size_t from) {
    return std::count_if(board.corners_m.begin() + static_cast<long>(from),
                         board.corners_m.begin() + static_cast<long>(from) + 4,
                         [&](const Eigen::Vector3d& corner) { return corner.x() < x_m; });
  };
  return below(0) == 4 && below(4) == 0;
}

/// Boards that fell off at x: pieces that are the section of a board, no more and no less.
std::size_t boards_fallen(const std::vector<Outline>& pieces, const SawPlan& plan, double x_m) {
  std::size_t fallen = 0;
  for (const Board& board : plan.boards) {
    if (!reaches(board, x_m)) {
      continue;
    }
    const Outline wanted = board_at(board, x_m);
    for (const Outline& piece : pieces) {
      const double differs_m2 =
          testing::area_outside_m2(piece, wanted) + testing::area_outside_m2(wanted, piece);
      fallen += differs_m2 < kTolerance_m * perimeter_m(wanted) ? 1 : 0;
    }
  }
  return fallen;
}

/// Signed distance of a board's nearest corner from the kerf of a crosscut, at the board's small or large
/// end; 0: the kerf takes nothing of the board and leaves nothing over. NaN if the cut runs through the
/// board.
double end_gap_m(const SawPlan& plan, const Cut& cut, const Board& board, bool large_end) {
  const double half_m = plan.options.crosscut_kerf_m / 2;
  double least = kFar;
  double most = -kFar;
  for (const Eigen::Vector3d& corner : board.corners_m) {
    const double beyond_m = (large_end ? -1 : 1) * cut.plane.normal.dot(corner - cut.plane.point_m) - half_m;
    least = std::min(least, beyond_m);
    most = std::max(most, beyond_m);
  }
  return least < -kTolerance_m && most > 2 * kTolerance_m ? std::nan("") : least;
}

/// The cut is made on the piece that holds this board: the whole flitch, its length window, or the board.
bool cuts_piece_of(const Cut& cut, const Board& board) {
  if (cut.kind != Cut::Kind::crosscut || cut.piece.flitch != board.flitch) {
    return false;
  }
  const bool of_flitch = cut.piece.kind == Piece::Kind::flitch &&
                         (cut.piece.window == Piece::kNone || cut.piece.window == board.window);
  return of_flitch || cut.piece.board == board.id;
}

/// Boards that crosscuts free at an end to within what nobody trims, or that reach the log's own end there;
/// no crosscut runs through any.
std::size_t ends_freed(const SawPlan& plan, const SetupSheet& sheet, const LogModel& log) {
  constexpr double kTrim_m = 0.001;
  std::size_t freed = 0;
  for (const Board& board : plan.boards) {
    for (const bool large_end : {false, true}) {
      double nearest = kFar;
      for (const Cut& cut : sheet.cuts) {
        if (cuts_piece_of(cut, board)) {
          const double gap_m = end_gap_m(plan, cut, board, large_end);
          CAPTURE(board.id, cut.order, large_end, gap_m);
          CHECK(std::isfinite(gap_m));
          nearest = gap_m >= -kTolerance_m ? std::min(nearest, gap_m) : nearest;
        }
      }
      for (std::size_t corner = large_end ? 4 : 0; corner < (large_end ? 8U : 4U); ++corner) {
        const double x_m = board.corners_m.at(corner).x();
        nearest = std::min(nearest, large_end ? log.usable_length_m() - x_m : x_m);
      }
      freed += nearest <= kTrim_m + kTolerance_m ? 1 : 0;
    }
  }
  return freed;
}

/// Sections at which the boards are counted; saws the log and counts.
void check_cut_list(const LogModel& log, const SawPlan& plan, const SetupSheet& sheet, std::size_t& counted) {
  for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
    const double x_m = share * log.usable_length_m();
    const std::vector<Outline> pieces = pieces_at(log, plan, sheet, x_m);
    const auto here = static_cast<std::size_t>(std::count_if(
        plan.boards.begin(), plan.boards.end(), [&](const Board& b) { return reaches(b, x_m); }));
    CAPTURE(x_m);
    CHECK(boards_fallen(pieces, plan, x_m) == here);
    // No wood is lost or found: pieces and kerfs make the section.
    double left_m2 = 0;
    for (const Outline& piece : pieces) {
      left_m2 += testing::area_m2(piece);
    }
    CHECK(left_m2 < testing::area_m2(bark_at(log, x_m)));
    counted += here;
  }
  CHECK(ends_freed(plan, sheet, log) == 2 * plan.boards.size());
}

/// The saw rides on the face that is there when the cut is made, at the depth that the list gives.
void check_depths(const SawPlan& plan, const SetupSheet& sheet) {
  const double half_m = plan.options.kerf_m / 2;
  std::vector<const Cut*> made;
  for (const Cut& cut : sheet.cuts) {
    const bool level = cut.kind == Cut::Kind::level;
    const bool cant = cut.kind == Cut::Kind::cant && cut.rests_on != RestsOn::supports;
    if (level || cant) {
      double depth_m = kFar;  // from the nearest face sawn before, on the rail's side
      for (const Cut* before : made) {
        const bool same =
            level ? before->kind != Cut::Kind::cant
                  : before->piece.flitch == cut.piece.flitch && before->piece.window == cut.piece.window;
        const double away_m = std::abs(cut.plane.normal.dot(before->plane.point_m - cut.plane.point_m));
        depth_m = same ? std::min(depth_m, away_m - half_m) : depth_m;
      }
      depth_m += cut.rests_on == RestsOn::rail_on_face ? sheet.kit.rail_height_m : 0;
      CAPTURE(cut.order);
      CHECK(std::abs(cut.saw_depth_m - depth_m) < kTolerance_m);
    }
    if (cut.kind == Cut::Kind::opening || level || cut.kind == Cut::Kind::cant) {
      made.push_back(&cut);
    }
  }
}

}  // namespace

TEST_CASE("exactly the listed cuts make the boards, on 30 invented logs and with two kits") {
  constexpr int kStations = 80;
  constexpr int kAngles = 120;
  constexpr int kLogs = 30;
  const std::filesystem::path samples(FLITCHWISE_SAMPLES);
  int plans = 0;
  std::size_t boards = 0;
  for (std::uint64_t seed = 101; seed < 101 + kLogs; ++seed) {
    const test::LogShape shape = test::random_shape(seed);
    const LogModel log = test::make_log(shape, kStations, kAngles);
    for (const char* file : {"kit.toml", "kit-long-rail.toml"}) {
      const Kit kit = read_kit(samples / file);
      SearchOptions options;
      options.kerf_m = options.rip_kerf_m = options.crosscut_kerf_m = kit.kerf_m;
      const Orientation pose{0.2 * static_cast<double>(seed % 7) - 0.6, 0.003, shape.radius_m - 0.03};
      const SawPlan plan = plan_at(log, {{"40x120x1500", 0.04, 0.12, 1.5}}, options, pose);
      if (plan.status != SawPlan::Status::ok) {
        continue;
      }
      ++plans;
      const SetupSheet sheet = set_up(log, plan, kit, HeightTolerance{});
      CAPTURE(seed, file, plan.boards.size());
      std::size_t reached = 0;
      check_cut_list(log, plan, sheet, reached);
      check_depths(plan, sheet);
      boards += reached;
      CHECK(reached > 0);
    }
  }
  CHECK(plans >= 50);
  CHECK(boards > 1000);
}

TEST_CASE("an extra opening cut above the stack and the listed cuts after it make the boards") {
  constexpr int kStations = 60;
  constexpr int kAngles = 90;
  int extra_cuts = 0;
  for (std::uint64_t seed = 101; seed < 107; ++seed) {
    const test::LogShape shape = test::random_shape(seed);
    const LogModel log = test::make_log(shape, kStations, kAngles);
    Kit kit = read_kit(std::filesystem::path(FLITCHWISE_SAMPLES) / "kit.toml");
    kit.saw_depth_max_m = 0.13;
    SearchOptions options;
    options.kerf_m = options.rip_kerf_m = options.crosscut_kerf_m = kit.kerf_m;
    const SawPlan plan =
        plan_at(log, {{"40x120x1500", 0.04, 0.12, 1.5}}, options, {0.4, 0.003, shape.radius_m - 0.09});
    REQUIRE(plan.status == SawPlan::Status::ok);
    const SetupSheet sheet = set_up(log, plan, kit, HeightTolerance{});
    CAPTURE(seed, sheet.opening_plane);
    extra_cuts += sheet.extra_cut_m > 0 ? 1 : 0;
    const auto sawn_planes = std::count_if(sheet.cuts.begin(), sheet.cuts.end(), [](const Cut& cut) {
      return cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level;
    });
    CHECK(static_cast<std::size_t>(sawn_planes) == plan.planes.size() + (sheet.extra_cut_m > 0 ? 1 : 0));
    std::size_t reached = 0;
    check_cut_list(log, plan, sheet, reached);
    check_depths(plan, sheet);
    CHECK(reached > 0);
  }
  CHECK(extra_cuts >= 3);
}

TEST_CASE("the cut lists of searched plans make their boards: cants, several thicknesses and lengths") {
  constexpr int kStations = 60;
  constexpr int kAngles = 72;
  const Kit kit = read_kit(std::filesystem::path(FLITCHWISE_SAMPLES) / "kit.toml");
  std::size_t boards = 0;
  int cants = 0;
  int windows = 0;
  for (std::uint64_t seed = 201; seed <= 204; ++seed) {
    test::LogShape shape = test::random_shape(seed);
    const LogModel log = test::make_log(shape, kStations, kAngles);
    for (const Pattern pattern : {Pattern::live, Pattern::cant}) {
      SearchOptions options;
      options.kerf_m = 0.009;
      options.rip_kerf_m = 0.006;
      options.crosscut_kerf_m = 0.012;
      options.pattern = pattern;
      options.time_limit_s = 86400;  // never: the nodes end it at the same place on every machine
      options.most_nodes = 500;
      options.tolerance_m = 0.005;
      const double length_m = log.usable_length_m() / 2 - 0.1;
      const SawPlan plan =
          search(log, {{"", 0.05, 0.1, length_m, 2}, {"", 0.025, 0.1, length_m, 1}}, options);
      if (plan.status != SawPlan::Status::ok) {
        continue;
      }
      CAPTURE(seed, pattern == Pattern::cant, plan.boards.size());
      const SetupSheet sheet = set_up(log, plan, kit, HeightTolerance{});
      std::size_t reached = 0;
      check_cut_list(log, plan, sheet, reached);
      check_depths(plan, sheet);
      boards += reached;
      for (const Cut& cut : sheet.cuts) {
        cants += cut.kind == Cut::Kind::cant ? 1 : 0;
        windows += cut.piece.parted && cut.piece.window > 0 && cut.piece.window != Piece::kNone ? 1 : 0;
      }
    }
  }
  CHECK(boards > 100);
  CHECK(cants > 10);
  CHECK(windows > 10);
}
