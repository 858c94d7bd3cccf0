#include "tests/support/main_job.hpp"

#include <unistd.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <stdexcept>

#include "solver/advice/by_eye.hpp"
#include "solver/search/search.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/simulate/write_scan.hpp"

namespace flitchwise::testing {
namespace {

constexpr double kSample_m = 0.05;  // along a board's edges

/// As people read a tape.
double by_tape_m(double length_m) {
  constexpr double kRead_m = 0.005;
  return kRead_m * std::round(length_m / kRead_m);
}

/// Points of the board's four long edges, log frame.
std::vector<Eigen::Vector3d> edge_points(const solver::Board& board) {
  std::vector<Eigen::Vector3d> points;
  for (std::size_t edge = 0; edge < 4; ++edge) {
    const Eigen::Vector3d a = board.corners_m.at(edge);
    const Eigen::Vector3d b = board.corners_m.at(edge + 4);
    const int steps = static_cast<int>(std::ceil((b - a).norm() / kSample_m));
    for (int i = 0; i <= steps; ++i) {
      points.emplace_back(a + (b - a) * i / steps);
    }
  }
  return points;
}

/// A point of the bench frame in the scan frame.
Eigen::Vector3d to_scan(const PlannedLog& planned, const Eigen::Vector3d& in_bench) {
  const double roll = planned.plan.orientation.roll_rad;
  return planned.log.frame.to_scan(Eigen::AngleAxisd(-roll, Eigen::Vector3d::UnitX()) * in_bench);
}

/// The sheet for a rail with many supports: few screws say little about the rare large errors.
solver::SetupSheet with_many_supports(const PlannedLog& planned) {
  constexpr double kApart_m = 0.1;
  solver::Kit kit = planned.sheet.kit;
  kit.support_positions_m.clear();
  for (double x_m = kApart_m; x_m < kit.rail_length_m; x_m += kApart_m) {
    kit.support_positions_m.push_back(x_m);
  }
  return solver::set_up(planned.log, planned.plan, kit, planned.tolerance);
}

void judge_gaps(const PlannedLog& planned, const simulate::Truth& truth, std::vector<double>& errors) {
  const solver::SetupSheet sheet = with_many_supports(planned);
  const solver::CutPlane opening = solver::opening_cut_plane(planned.plan, sheet);
  const double roll = planned.plan.orientation.roll_rad;
  const Eigen::AngleAxisd bench_from_log(roll, Eigen::Vector3d::UnitX());
  const Eigen::Vector3d normal = bench_from_log * opening.normal;
  const Eigen::Vector3d point = bench_from_log * opening.point_m + sheet.rail_height_m * normal;
  for (const solver::Support& support : sheet.supports) {
    for (const solver::ScrewPoint& screw : {support.left, support.right}) {
      if (!screw.seen || !std::isfinite(screw.gap_m)) {
        continue;
      }
      // x is measured along the plane from where x = 0; the slope is so small that this is the frame's x.
      const double x = support.x_m;
      const double z =
          point.z() - (normal.x() * (x - point.x()) + normal.y() * (screw.y_m - point.y())) / normal.z();
      const Eigen::Vector3d under_rail = to_scan(planned, {x, screw.y_m, z});
      const Eigen::Vector3d down = to_scan(planned, -normal) - to_scan(planned, Eigen::Vector3d::Zero());
      const auto gap = truth.bark_top_below(under_rail, down);
      if (gap) {
        errors.push_back(screw.gap_m - *gap);
      }
    }
  }
}

/// How far a board's long edges stick out of the true wood; 0 if they do not.
double wane_m(const solver::Board& board, const LogFrame& frame, const simulate::Truth& truth) {
  double deepest_m = 0;
  for (const Eigen::Vector3d& p : edge_points(board)) {
    deepest_m = std::max(deepest_m, -truth.wood_depth_m(frame.to_scan(p)));
  }
  return deepest_m;
}

int with_wane(const solver::SawPlan& plan, const LogFrame& frame, const simulate::Truth& truth) {
  return static_cast<int>(std::count_if(plan.boards.begin(), plan.boards.end(),
                                        [&](const auto& board) { return wane_m(board, frame, truth) > 0; }));
}

}  // namespace

LogModel model_of(const simulate::Truth& truth) {
  LogModel log;
  log.frame.origin_in_scan_m = truth.origin_in_scan_m;
  log.frame.scan_from_log = truth.scan_from_log;
  for (const simulate::TruthStation& t : truth.stations) {
    Station s;
    s.x_m = t.x_m;
    s.centre_m = t.centre_m;
    const auto n = static_cast<Eigen::Index>(t.bark_radius_m.size());
    s.bark_radius_m = Eigen::Map<const Eigen::VectorXd>(t.bark_radius_m.data(), n);
    s.wood_radius_m = Eigen::Map<const Eigen::VectorXd>(t.wood_radius_m.data(), n).cwiseMin(s.bark_radius_m);
    s.bark_sigma_m = Eigen::VectorXd::Zero(n);
    s.wood_sigma_m = Eigen::VectorXd::Zero(n);
    s.seen.assign(t.bark_radius_m.size(), 1);
    log.stations.push_back(s);
  }
  return log;
}

JobErrors judge_main_job(std::uint64_t seed, const simulate::Scanner& scanner, const solver::Target& target,
                         std::uint64_t most_nodes, bool with_others) {
  const simulate::Simulation simulation = simulate::simulate_random(seed, scanner);
  const auto file = std::filesystem::temp_directory_path() /
                    ("flitchwise-job-" + std::to_string(getpid()) + "-" + std::to_string(seed) + ".ply");
  simulate::write_file(file, simulate::scan_bytes(simulation.scan, simulate::FileFormat::ply_binary, {}));
  PlanRequest request;
  request.scan.files = {{file}};
  request.targets = {target};
  request.scan.bark_m = simulation.truth.bark_m;
  request.scan.scale_length_m = by_tape_m(simulation.truth.length_m);
  constexpr double kNever_s = 86400;
  request.search.time_limit_s = kNever_s;
  request.search.most_nodes = most_nodes;
  request.advice_time_s = 0;
  JobErrors errors;
  errors.planned = plan_log(request);
  std::filesystem::remove(file);
  if (errors.planned.outcome != PlannedLog::Outcome::done) {
    throw std::runtime_error("seed " + std::to_string(seed) + ": " +
                             report::words(errors.planned.message.value(), report::Units::millimetres));
  }

  errors.fit = against_truth(errors.planned.log, simulation.truth);
  for (const solver::Board& board : errors.planned.plan.boards) {
    errors.deepest_wane_m =
        std::max(errors.deepest_wane_m, wane_m(board, errors.planned.log.frame, simulation.truth));
  }
  judge_gaps(errors.planned, simulation.truth, errors.gap_errors_m);
  errors.boards = static_cast<int>(errors.planned.plan.boards.size());
  solver::SearchOptions options = errors.planned.plan.options;
  const solver::SawPlan best = solver::search(model_of(simulation.truth), {target}, options);
  errors.boards_with_truth = static_cast<int>(best.boards.size());
  const LogModel truth = model_of(simulation.truth);
  errors.boards_by_eye = static_cast<int>(solver::plan_by_eye(truth, {target}, options).boards.size());
  errors.boards_by_eye_in_scan =
      static_cast<int>(solver::plan_by_eye(errors.planned.log, {target}, options).boards.size());
  if (with_others) {
    const LogModel& log = errors.planned.log;
    solver::SearchOptions bolder = options;
    bolder.sigmas = 1;
    const solver::SawPlan likely = solver::search(log, {target}, bolder);
    errors.boards_at_one_sigma = static_cast<int>(likely.boards.size());
    errors.wane_at_one_sigma = with_wane(likely, log.frame, simulation.truth);
    bolder.sigmas = 0;
    const solver::SawPlan sure = solver::search(log, {target}, bolder);
    errors.boards_if_sure = static_cast<int>(sure.boards.size());
    errors.wane_if_sure = with_wane(sure, log.frame, simulation.truth);
    options.as_it_lies = true;
    errors.boards_unrolled = static_cast<int>(solver::search(truth, {target}, options).boards.size());
  }
  return errors;
}

}  // namespace flitchwise::testing
