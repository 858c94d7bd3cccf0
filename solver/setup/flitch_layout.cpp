#include "solver/setup/flitch_layout.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

namespace flitchwise::solver {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// Left and right bark edge of a level face at x; NaN where the face does not reach.
std::pair<double, double> edges_at(const BenchLog& log, const LevelPlane& face, double x_m) {
  const auto chord = chord_at(log.section_at(x_m), face.height_at(x_m));
  return chord ? std::pair{chord->second, chord->first} : std::pair{kNone, kNone};
}

/// The two faces of a flitch: the cut planes shifted by half a kerf into it.
struct Faces {
  LevelPlane upper;
  LevelPlane lower;
  bool has_lower = false;
};

Faces faces_of(const CutPlan& job, const Flitch& flitch) {
  const double half_kerf_m = job.plan.options.kerf_m / 2;
  Faces faces;
  faces.upper = raised(job.planes[flitch.upper_plane], -half_kerf_m);
  faces.has_lower = flitch.lower_plane < job.planes.size();
  if (faces.has_lower) {
    faces.lower = raised(job.planes[flitch.lower_plane], half_kerf_m);
  }
  return faces;
}

/// y where an edging cut meets a level face over x. Bench frame.
double crossing_y_m(const CutPlan& job, const Cut& cut, const LevelPlane& face, double x_m) {
  const Eigen::Matrix3d turn = bench_from_log(job.plan.orientation.roll_rad);
  const Eigen::Vector3d point = turn * cut.plane.point_m;
  const Eigen::Vector3d normal = turn * cut.plane.normal;
  // normal . ((x, y, face) - point) = 0
  return point.y() -
         (normal.x() * (x_m - point.x()) + normal.z() * (face.height_at(x_m) - point.z())) / normal.y();
}

void trace_edges(const CutPlan& job, const Faces& faces, FlitchLayout& layout) {
  for (const BenchSection& section : job.log.sections()) {
    const auto upper = edges_at(job.log, faces.upper, section.x_m);
    const auto lower =
        faces.has_lower ? edges_at(job.log, faces.lower, section.x_m) : std::pair{kNone, kNone};
    layout.x_m.push_back(section.x_m);
    layout.upper_left_m.push_back(upper.first);
    layout.upper_right_m.push_back(upper.second);
    layout.lower_left_m.push_back(lower.first);
    layout.lower_right_m.push_back(lower.second);
  }
}

EdgingWindow window_of(const CutPlan& job, const Flitch& flitch, std::size_t number) {
  EdgingWindow window;
  window.window = number;
  window.start_m = std::numeric_limits<double>::infinity();
  window.end_m = -window.start_m;
  const Eigen::Matrix3d turn = bench_from_log(job.plan.orientation.roll_rad);
  std::vector<std::pair<double, std::size_t>> places;
  for (const std::size_t index : flitch.boards) {
    const Board& board = job.plan.boards[index];
    if (board.window != number) {
      continue;
    }
    double y_m = 0;
    for (const Eigen::Vector3d& corner : board.corners_m) {
      const Eigen::Vector3d bench = turn * corner;
      window.start_m = std::min(window.start_m, bench.x());
      window.end_m = std::max(window.end_m, bench.x());
      y_m += bench.y();
    }
    places.emplace_back(-y_m, index);
  }
  std::sort(places.begin(), places.end());
  for (const auto& [minus_y_m, index] : places) {
    window.boards.push_back(index);
  }
  return window;
}

void add_windows(const CutPlan& job, const Flitch& flitch, const Faces& faces, const std::vector<Cut>& cuts,
                 FlitchLayout& layout) {
  std::vector<std::size_t> numbers;
  for (const std::size_t board : flitch.boards) {
    numbers.push_back(job.plan.boards[board].window);
  }
  std::sort(numbers.begin(), numbers.end());
  numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
  for (const std::size_t number : numbers) {
    EdgingWindow window = window_of(job, flitch, number);
    const auto from_left_m = [&](const Cut& cut, double x_m) {
      return edges_at(job.log, faces.upper, x_m).first - crossing_y_m(job, cut, faces.upper, x_m);
    };
    for (const Cut& cut : cuts) {
      const bool along = cut.kind == Cut::Kind::edging || cut.kind == Cut::Kind::cant;
      if (along && cut.piece.flitch == layout.flitch && cut.piece.window == number) {
        window.lines.push_back({from_left_m(cut, window.start_m), from_left_m(cut, window.end_m)});
      }
    }
    layout.windows.push_back(std::move(window));
  }
}

double weight_kg(const CutPlan& job, const Faces& faces) {
  std::vector<HalfSpace> spaces{below(faces.upper)};
  if (faces.has_lower) {
    spaces.push_back(above(faces.lower));
  }
  return job.density_kg_m3 * job.log.volume_m3(spaces, 0, job.log.usable_length_m());
}

double volume_m3(const Board& board) {
  const auto& c = board.corners_m;
  return std::abs((c[1] - c[0]).cross(c[3] - c[0]).dot(c[4] - c[0]));
}

}  // namespace

std::vector<FlitchLayout> flitch_layouts(const CutPlan& job, const std::vector<Cut>& cuts) {
  std::vector<FlitchLayout> layouts;
  for (std::size_t i = 0; i < job.plan.flitches.size(); ++i) {
    const Flitch& flitch = job.plan.flitches[i];
    if (flitch.boards.empty()) {
      continue;
    }
    FlitchLayout layout;
    layout.flitch = i;
    const Faces faces = faces_of(job, flitch);
    trace_edges(job, faces, layout);
    add_windows(job, flitch, faces, cuts, layout);
    layout.weight_kg = weight_kg(job, faces);
    layouts.push_back(std::move(layout));
  }
  return layouts;
}

WoodBalance wood_balance(const LogModel& log, const CutPlan& job, const std::vector<Cut>& cuts) {
  WoodBalance balance;
  balance.log_m3 = log.volume_m3();
  for (const Board& board : job.plan.boards) {
    balance.boards_m3 += volume_m3(board);
  }
  const SearchOptions& options = job.plan.options;
  for (const Cut& cut : cuts) {
    const double kerf_m = cut.kind == Cut::Kind::edging     ? options.rip_kerf_m
                          : cut.kind == Cut::Kind::crosscut ? options.crosscut_kerf_m
                                                            : options.kerf_m;
    balance.sawn_m2 += cut.area_m2;
    balance.sawdust_m3 += cut.area_m2 * kerf_m;
  }
  return balance;
}

}  // namespace flitchwise::solver
