/// The cut list carried out on the log: cross-sections are sawn by Boost.Geometry's polygon difference, and
/// what falls off is counted and measured. Shares no geometry with the solver.

#include <Eigen/Geometry>
#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "flitchwise/solver/search.hpp"
#include "flitchwise/solver/setup.hpp"
#include "support/random_log.hpp"

namespace bg = boost::geometry;
using namespace flitchwise;
using namespace flitchwise::solver;

namespace {

using Point = bg::model::d2::point_xy<double>;
using Polygon = bg::model::polygon<Point>;
using Polygons = bg::model::multi_polygon<Polygon>;

constexpr double kFar = 2;           // m: outside any log
constexpr double kSliverM2 = 1e-10;  // what rounding leaves between two cuts
constexpr double kToleranceM = 2e-5;

/// A line through a cross-section of the log frame at x: a * y + b * z = c.
struct Line {
  double a = 0, b = 0, c = 0;
};

Line at_x(const CutPlane& plane, double x_m) {
  const Eigen::Vector3d& n = plane.normal;
  return {n.y(), n.z(), n.dot(plane.point_m) - n.x() * x_m};
}

/// The strip between c - half and c + half along a line, as far as any log reaches.
Polygon strip(const Line& line, double from, double to) {
  const double size = std::hypot(line.a, line.b);
  const Eigen::Vector2d normal(line.a / size, line.b / size);
  const Eigen::Vector2d along(-normal.y(), normal.x());
  Polygon polygon;
  for (const auto& [across, s] : {std::pair{from, -kFar}, {from, kFar}, {to, kFar}, {to, -kFar}}) {
    const Eigen::Vector2d corner = (line.c / size + across) * normal + s * along;
    bg::append(polygon.outer(), Point(corner.x(), corner.y()));
  }
  bg::correct(polygon);
  return polygon;
}

Polygons sawn(const Polygons& wood, const Polygons& kerfs) {
  Polygons left;
  bg::difference(wood, kerfs, left);
  return left;
}

Polygons bark_at(const LogModel& log, double x_m) {
  const Eigen::MatrixX2d outline = bark_outline_m(station_at(log, x_m));
  Polygon polygon;
  for (Eigen::Index i = 0; i < outline.rows(); ++i) {
    bg::append(polygon.outer(), Point(outline(i, 0), outline(i, 1)));
  }
  bg::correct(polygon);
  return {polygon};
}

/// The kerf of an edging cut reaches through its own flitch alone.
Polygons edging_kerf(const SawPlan& plan, const Cut& cut, double x_m) {
  const double half_m = plan.options.rip_kerf_m / 2;
  const Flitch& flitch = plan.flitches[cut.flitch];
  const Line upper = at_x(plan.planes[flitch.upper_plane], x_m);
  const Line lower = at_x(plan.planes[flitch.lower_plane], x_m);
  Polygons kerf{strip(at_x(cut.plane, x_m), -half_m, half_m)};
  Polygons below;
  bg::intersection(kerf, strip(upper, -kFar, 0), below);
  Polygons between;
  bg::intersection(below, strip(lower, 0, kFar), between);
  return between;
}

/// What is left of a cross-section once every level cut and every edging cut that passes it is made.
Polygons pieces_at(const LogModel& log, const SawPlan& plan, const SetupSheet& sheet, double x_m) {
  Polygons wood = bark_at(log, x_m);
  for (const Cut& cut : sheet.cuts) {
    if (cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level) {
      const double half_m = plan.options.kerf_m / 2;
      wood = sawn(wood, Polygons{strip(at_x(cut.plane, x_m), -half_m, half_m)});
    }
  }
  for (const Cut& cut : sheet.cuts) {
    if (cut.kind != Cut::Kind::edging) {
      continue;
    }
    const bool passes =
        std::any_of(sheet.flitches.begin(), sheet.flitches.end(), [&](const FlitchLayout& layout) {
          return layout.flitch == cut.flitch &&
                 std::any_of(layout.windows.begin(), layout.windows.end(), [&](const EdgingWindow& window) {
                   return window.window == cut.window && x_m >= window.start_m && x_m <= window.end_m;
                 });
        });
    if (passes) {
      wood = sawn(wood, edging_kerf(plan, cut, x_m));
    }
  }
  return wood;
}

/// The section of a board at x, from its corners.
Polygon board_at(const Board& board, double x_m) {
  Polygon polygon;
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d from = board.corners_m[i];
    const Eigen::Vector3d to = board.corners_m[i + 4];
    const Eigen::Vector3d at = from + (x_m - from.x()) / (to.x() - from.x()) * (to - from);
    bg::append(polygon.outer(), Point(at.y(), at.z()));
  }
  bg::correct(polygon);
  return polygon;
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
std::size_t boards_fallen(const Polygons& pieces, const SawPlan& plan, double x_m) {
  std::size_t fallen = 0;
  for (const Board& board : plan.boards) {
    if (!reaches(board, x_m)) {
      continue;
    }
    const Polygon wanted = board_at(board, x_m);
    for (const Polygon& piece : pieces) {
      Polygons differs;
      bg::sym_difference(piece, wanted, differs);
      fallen += bg::area(differs) < kToleranceM * bg::perimeter(wanted) ? 1 : 0;
    }
  }
  return fallen;
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
      for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
        const double x_m = share * log.usable_length_m();
        const Polygons pieces = pieces_at(log, plan, sheet, x_m);
        const auto here = static_cast<std::size_t>(std::count_if(
            plan.boards.begin(), plan.boards.end(), [&](const Board& b) { return reaches(b, x_m); }));
        CAPTURE(x_m);
        CHECK(boards_fallen(pieces, plan, x_m) == here);
        // No wood is lost or found: pieces and kerfs make the section.
        CHECK(bg::area(pieces) < bg::area(bark_at(log, x_m)));
        reached += here;
        boards += here;
      }
      CHECK(reached > 0);
    }
  }
  CHECK(plans >= 50);
  CHECK(boards > 1000);
}
