#pragma once
/// A report on a log of our own making: a bent, tapered, oval larch with everything that a report can show.

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "solver/search/search.hpp"
#include "solver/setup/kit.hpp"
#include "solver/setup/setup.hpp"
#include "tests/support/random_log.hpp"
#include "tools/report/report.hpp"

namespace flitchwise::test {

/// A log with its plan and setup, to be reported.
struct ReportedLog : PlannedLog {
  ReportedLog() {
    outcome = Outcome::done;
    scan = {"larch-14.ply",
            {scan::FileFormat::Kind::ply, scan::FileFormat::Coding::ascii},
            1'234'567,
            0.001,
            {scan::ScaleSource::Kind::tape, {}, 3.1},
            {scan::UpSource::Kind::ground, "+z"}};
    warnings = {Told{"The bark's thickness is assumed."}};
  }

  report::Report report() const { return report::Report(*this); }
};

inline solver::CutPlane level_plane(double height_m) {
  return {Eigen::Vector3d(1.5, 0, height_m), Eigen::Vector3d::UnitZ()};
}

/// Figures by hand: two boards, three supports, three cuts. Roll 0, so that log and bench frame are one.
inline ReportedLog made_by_hand() {
  LogShape shape;
  shape.length_m = 3.1;
  shape.taper_m_per_m = 0.01;
  ReportedLog made;
  made.log = make_log(shape, 5, 8);
  made.log.frame.origin_in_scan_m = {1.2345678, -2, 0.5};
  made.log.knots = {{1.5, 0.5, 0.031, 0.08}};
  made.log.residual_m = 0.00123;
  made.plan.status = solver::SawPlan::Status::ok;
  made.plan.targets = {{"50x150x3000", 0.05, 0.15, 3.0}};
  made.plan.planes = {level_plane(0.0925), level_plane(0.0335), level_plane(-0.0255)};
  using Flitch = solver::Flitch;
  made.plan.flitches = {{Flitch::Kind::flat, 0.05, 0, 1, {0}, {0}},
                        {Flitch::Kind::flat, 0.05, 1, 2, {0}, {1}}};
  made.plan.value = 2;
  for (const std::size_t flitch : {0U, 1U}) {
    solver::Board board;
    board.id = std::to_string(flitch + 1) + "a";
    board.flitch = flitch;
    const double top = made.plan.planes[flitch].point_m.z() - 0.0045;
    for (std::size_t i = 0; i < board.corners_m.size(); ++i) {
      const bool left = i % 4 == 0 || i % 4 == 3;
      board.corners_m[i] = {i < 4 ? 0.0 : 3.0, left ? 0.075 : -0.075, i % 4 < 2 ? top - 0.05 : top};
    }
    board.margin_m = 0.00321;
    made.plan.boards.push_back(board);
  }
  made.plan.margin_m = 0.00321;
  made.plan.proof = {2, 3, 2, 3, 0.0015, false, 77, 0.1, 0.0042, true};
  made.tolerance = {0.00249, 0.0131, 0.02};
  made.sheet.kit_name = "two-piece ladder rail";
  made.sheet.opening_reason.least_wood_m = 0.046;
  made.sheet.rail_height_m = 0.12;
  made.sheet.small_end = {0.0925, 0.0675, 0.2525, 0.2125, 0.1, 0.11, 0.0024};
  made.sheet.large_end = {-0.0125, 0.1775, 0.1475, 0.1075, 0.12, 0.13, 0.0131};
  made.sheet.rail_positions = {{-0.1, 3.2, 0}};
  using Status = solver::ScrewPoint::Status;
  const double none = std::numeric_limits<double>::quiet_NaN();
  made.sheet.supports = {
      {1, 1, 0.1, {0.09, 0.0421, Status::ok, 0, true}, {-0.09, 0.0456, Status::ok, 0, true}},
      {1, 2, 1.55, {0.09, 0.0821, Status::packer, 0.012, true}, {-0.09, 0.0656, Status::ok, 0, false}},
      {1, 3, 3.15, {0.09, 0.02, Status::relieve, 0.008, true}, {-0.09, none, Status::no_bearing, 0, false}}};
  using Kind = solver::Cut::Kind;
  using solver::RestsOn;
  made.sheet.cuts = {
      {1, Kind::opening, {}, RestsOn::supports, false, made.plan.planes[0], 0.14, 0.2345, 18.2},
      {2, Kind::level, {}, RestsOn::sawn_face, false, made.plan.planes[1], 0.059, 0.301, 31.7},
      {3,
       Kind::edging,
       {solver::Piece::Kind::flitch, 0, 0, true, false, {}, {}},
       RestsOn::chalk_line,
       false,
       {Eigen::Vector3d(1.5, 0.0795, 0.063), Eigen::Vector3d::UnitY()},
       0,
       0.05,
       2.5}};
  made.sheet.log_weight_kg = 213.4;
  made.sheet.warnings = {solver::BlocksNeeded{2, 0.15}};
  return made;
}

/// The same by planner and setup, of an invented log that is rolled by 40 degrees: no search, so it is quick
/// and always the same.
inline ReportedLog made_by_solver(std::uint64_t seed) {
  constexpr int kStations = 60;
  constexpr int kAngles = 90;
  ReportedLog made;
  made.log = make_log(random_shape(seed), kStations, kAngles);
  made.log.density_kg_m3 = 769;
  const solver::Target target{"50x150x3000", 0.05, 0.15, 3.0};
  const solver::Orientation orientation{0.7, 0.005, 0.11};
  made.plan = solver::plan_at(made.log, {target}, {}, orientation);
  made.plan.proof.boards = static_cast<int>(made.plan.boards.size());
  made.plan.proof.upper_bound = made.plan.proof.boards + 1;
  made.plan.proof.upper_value = made.plan.proof.upper_bound;
  made.tolerance = {0.004, 0.005};
  made.sheet = solver::set_up(made.log, made.plan, solver::plain_kit(), made.tolerance);
  return made;
}

}  // namespace flitchwise::test
