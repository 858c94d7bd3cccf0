#include "tests/support/setup_truth.hpp"

#include <unistd.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <stdexcept>

#include "solver/setup/kit_file.hpp"
#include "tests/support/sawn_log.hpp"
#include "tests/support/true_log.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/simulate/write_scan.hpp"

namespace flitchwise::testing {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using solver::Cut;
using solver::CutPlane;

class Judge : private TrueLog {
 public:
  Judge(const PlannedLog& planned, const simulate::Truth& truth)
      : TrueLog(planned, truth), opening_(in_bench(solver::opening_cut_plane(planned.plan, planned.sheet))) {}

  void judge(SetupErrors& errors) const {
    errors.boards = static_cast<int>(planned_.plan.boards.size());
    rail(errors);
    screws(errors);
    cant_screws(errors);
    const std::pair<double, double> off_m = end_marks(errors);
    diagonals(errors);
    cut_widths(errors);
    piece_weights(errors);
    walk(errors);
    errors.log_length_m = planned_.log.length_m - truth_.length_m;
    errors.log_volume_share = planned_.log.volume_m3() / true_volume_m3() - 1;
    const Layout taped = layout_by_tape(off_m, errors);
    errors.as_planned = saw_boards(planned_, truth_, {});
    errors.by_tape = saw_boards(planned_, truth_, taped);
  }

 private:
  void rail(SetupErrors& errors) const {
    constexpr double kAlong_m = 0.02;
    constexpr double kAcross_m = 0.015;
    constexpr double kBeside_m = 0.05;  // an axe clears that much beside a stretch
    const solver::Kit& kit = sheet_.kit;
    const Vector3d up = opening_.normal;
    const auto across = static_cast<int>(std::ceil(kit.rail_width_m / kAcross_m));
    errors.least_clearance_m = std::numeric_limits<double>::infinity();
    for (double x_m = 0; x_m <= planned_.log.usable_length_m(); x_m += kAlong_m) {
      double least_m = std::numeric_limits<double>::infinity();
      for (int i = 0; i <= across; ++i) {
        const double y_m = sheet_.rail_y_m + kit.rail_width_m * (static_cast<double>(i) / across - 0.5);
        const Vector3d under = Vector3d(x_m, y_m, height_at(opening_, x_m)) + sheet_.rail_height_m * up;
        if (const auto bark_m = bark_along(under, up)) {
          least_m = std::min(least_m, -*bark_m);
        }
      }
      for (const solver::HighSpot& spot : sheet_.high_spots) {
        const bool here = x_m > spot.from_x_m - kBeside_m && x_m < spot.to_x_m + kBeside_m;
        least_m += here ? spot.cut_away_m : 0;
      }
      errors.least_clearance_m = std::min(errors.least_clearance_m, least_m);
      errors.contacts += least_m < 0 ? 1 : 0;
    }
  }

  void screws(SetupErrors& errors) const {
    constexpr double kPlay_m = 0.005;  // what the gaps may be off
    const solver::Kit& kit = sheet_.kit;
    errors.least_tip_m = std::numeric_limits<double>::infinity();
    for (const solver::Support& support : sheet_.supports) {
      for (const solver::ScrewPoint& screw : {support.left, support.right}) {
        if (screw.status == solver::ScrewPoint::Status::no_bearing) {
          continue;
        }
        const Vector3d foot(support.x_m, screw.y_m, height_at(opening_, support.x_m));
        const auto bark_m = bark_along(foot, opening_.normal);
        if (!bark_m) {
          ++errors.screws_near_cut;
          continue;
        }
        (screw.seen ? errors.gaps_seen_m : errors.gaps_unseen_m)
            .push_back(screw.gap_m - (sheet_.rail_height_m - *bark_m));
        // The tip goes as deep as the kit says below the true bark, or below where bark was cut away.
        const bool cut = screw.status == solver::ScrewPoint::Status::relieve;
        const double tip_m = cut ? sheet_.rail_height_m - kit.screw_reach_min_m
                                 : *bark_m - std::max(kit.screw_bite_m, kit.wood_screw_bite_m);
        errors.least_tip_m = std::min(errors.least_tip_m, tip_m);
        errors.screws_in_cut += tip_m < 0 ? 1 : 0;
        errors.screws_near_cut += tip_m < kit.screw_to_cut_m - kPlay_m ? 1 : 0;
      }
    }
  }

  /// The same for the rail on a turned cant, over the first cut of its boards.
  void cant_screws(SetupErrors& errors) const {
    const double half_kerf_m = planned_.plan.options.kerf_m / 2;
    for (const solver::CantRail& rail : sheet_.cant_rails) {
      const auto first = std::find_if(sheet_.cuts.begin(), sheet_.cuts.end(), [&](const Cut& cut) {
        return cut.kind == Cut::Kind::cant && cut.piece.flitch == rail.flitch &&
               cut.piece.window == rail.window;
      });
      const CutPlane plane = in_bench(first->plane);
      const solver::Flitch& flitch = planned_.plan.flitches[rail.flitch];
      const CutPlane upper = in_bench(planned_.plan.planes[flitch.upper_plane]);
      const CutPlane lower = in_bench(planned_.plan.planes[flitch.lower_plane]);
      for (const solver::Support& support : rail.supports) {
        for (const solver::ScrewPoint& screw : {support.left, support.right}) {
          if (screw.status == solver::ScrewPoint::Status::no_bearing) {
            continue;
          }
          const double x_m = support.x_m;
          const double top_z_m = height_at(upper, x_m) - half_kerf_m;
          const double bottom_z_m = height_at(lower, x_m) + half_kerf_m;
          const double z_m = (top_z_m + bottom_z_m) / 2 - screw.y_m;  // the lower face has come to the left
          const Vector3d& n = plane.normal;
          const double y_m = plane.point_m.y() -
                             (n.x() * (x_m - plane.point_m.x()) + n.z() * (z_m - plane.point_m.z())) / n.y();
          const auto bark_m = bark_along({x_m, y_m, z_m}, n);
          const double off_m = bark_m ? screw.gap_m - (rail.rail_height_m - *bark_m) : kFar_m;
          errors.cant_gaps_m.push_back(off_m);
        }
      }
    }
  }

  /// Also how much too high the cut line comes to lie at both ends if it is measured down from the top.
  std::pair<double, double> end_marks(SetupErrors& errors) const {
    std::pair<double, double> off_m;
    for (const bool large_end : {false, true}) {
      const solver::EndMark& mark = large_end ? sheet_.large_end : sheet_.small_end;
      const double station_x_m = large_end ? planned_.log.usable_length_m() : 0;
      const Vector2d in_log = planned_.log.pith_at(station_x_m);
      const Vector3d pith = bench({station_x_m, in_log.x(), in_log.y()});
      const double x_m = end_x_m(large_end, pith.y(), height_at(opening_, station_x_m));
      const double cut_z = height_at(opening_, x_m);
      const double top_m = end_edge_m(large_end, pith.y(), pith.z(), {0, 1});
      const double bottom_m = end_edge_m(large_end, pith.y(), pith.z(), {0, -1});
      const double from_top_m = mark.below_top_m - (top_m - cut_z);
      errors.heights_m.push_back(from_top_m);
      errors.heights_m.push_back(mark.above_bottom_m - (cut_z - bottom_m));
      if (planned_.log.pith.source == Pith::Source::given) {
        const Vector2d& y_z = large_end ? truth_.pith_large_end_m : truth_.pith_small_end_m;
        const simulate::TruthEnd& end = large_end ? truth_.large_end : truth_.small_end;
        const Vector3d at = bench_from_true({end.point_m.x(), y_z.x(), y_z.y()});
        errors.heights_m.push_back(mark.above_pith_m - (cut_z - at.z()));
      }
      if (mark.half_width_left_m + mark.half_width_right_m > 0) {
        const double left_m = end_edge_m(large_end, pith.y(), cut_z, {1, 0}) - pith.y();
        const double right_m = pith.y() - end_edge_m(large_end, pith.y(), cut_z, {-1, 0});
        for (const auto& [stated, measured] :
             {std::pair{mark.half_width_left_m, left_m}, {mark.half_width_right_m, right_m}}) {
          if (std::isfinite(measured)) {
            errors.half_widths_m.push_back(stated - measured);
          }
        }
      }
      errors.heights_beyond_tolerance += std::abs(from_top_m) > mark.tolerance_m ? 1 : 0;
      (large_end ? off_m.second : off_m.first) = -from_top_m;
    }
    return off_m;
  }

  void diagonals(SetupErrors& errors) const {
    const solver::BracketCheck& check = sheet_.brackets;
    if (!(check.left_to_right_m > 0)) {
      return;
    }
    const auto corner = [&](bool large_end, double side) {
      const double y_m = sheet_.rail_y_m + side * sheet_.kit.bracket_width_m / 2;
      const double up_m = sheet_.rail_height_m / opening_.normal.z();
      double x_m = large_end ? planned_.log.usable_length_m() : 0;
      x_m = end_x_m(large_end, y_m, height_at(opening_, x_m) + up_m) + (large_end ? 1 : -1) * kInsideEnd_m;
      return Vector3d(x_m, y_m, height_at(opening_, x_m) + up_m);
    };
    errors.diagonals_m.push_back(check.left_to_right_m - (corner(false, 1) - corner(true, -1)).norm());
    errors.diagonals_m.push_back(check.right_to_left_m - (corner(false, -1) - corner(true, 1)).norm());
  }

  /// Widest place of every level cut over the true bark, at the truth's stations.
  void cut_widths(SetupErrors& errors) const {
    for (const Cut& cut : sheet_.cuts) {
      if (cut.kind != Cut::Kind::opening && cut.kind != Cut::Kind::level) {
        continue;
      }
      const CutPlane plane = in_true_log(in_bench(cut.plane));
      double widest_m = 0;
      for (const simulate::TruthStation& station : truth_.stations) {
        const Outline bark = outline_of(station, station.bark_radius_m);
        const Vector2d normal = Vector2d(plane.normal.y(), plane.normal.z()).normalized();
        const double offset = (plane.normal.dot(plane.point_m) - plane.normal.x() * station.x_m) /
                              plane.normal.tail<2>().norm();
        double least = std::numeric_limits<double>::infinity();
        double most = -least;
        for (std::size_t i = 0; i < bark.size(); ++i) {
          const Vector2d& a = bark[i];
          const Vector2d& b = bark[(i + 1) % bark.size()];
          const double da = normal.dot(a) - offset;
          const double db = normal.dot(b) - offset;
          if ((da <= 0) != (db <= 0)) {
            const Vector2d at = a + da / (da - db) * (b - a);
            const double along = Vector2d(-normal.y(), normal.x()).dot(at);
            least = std::min(least, along);
            most = std::max(most, along);
          }
        }
        widest_m = std::max(widest_m, most - least);
      }
      errors.cut_widths_m.push_back(cut.width_m - widest_m);
    }
  }

  /// What each level cut takes off, from the true bark by polygon difference; at the density that the sheet
  /// assumes.
  void piece_weights(SetupErrors& errors) const {
    const double half_m = planned_.plan.options.kerf_m / 2;
    for (const Cut& cut : sheet_.cuts) {
      const bool opening = cut.kind == Cut::Kind::opening;
      if (!opening && cut.kind != Cut::Kind::level) {
        continue;
      }
      // The log loses what is above the cut, up to the cut before; the top piece, flat side up, what is
      // below.
      const CutPlane plane = in_true_log(in_bench(cut.plane));
      const double side = cut.piece.kind == solver::Piece::Kind::log ? 1 : -1;
      const Cut* before = nullptr;
      for (const Cut& other : sheet_.cuts) {
        const bool level = other.kind == Cut::Kind::opening || other.kind == Cut::Kind::level;
        const auto away_m = [&](const Cut& c) {
          return side * cut.plane.normal.dot(c.plane.point_m - cut.plane.point_m);
        };
        if (!opening && level && away_m(other) > half_m && (!before || away_m(other) < away_m(*before))) {
          before = &other;
        }
      }
      std::vector<Kerf> kerfs{{plane, -half_m, half_m, false, {}, {}}};
      if (before) {
        kerfs.push_back({in_true_log(in_bench(before->plane)), -half_m, half_m, false, {}, {}});
      }
      double volume_m3 = 0;
      double x_before_m = 0;
      double area_before_m2 = 0;
      for (const simulate::TruthStation& station : truth_.stations) {
        double area = 0;
        for (const Outline& piece :
             sawn_pieces(outline_of(station, station.bark_radius_m), kerfs, station.x_m)) {
          Vector2d middle = Vector2d::Zero();
          for (const Vector2d& corner : piece) {
            middle += corner / static_cast<double>(piece.size());
          }
          const Vector3d at(station.x_m, middle.x(), middle.y());
          const bool off = side * plane.normal.dot(at - plane.point_m) > 0;
          const bool kept = before && side * kerfs[1].plane.normal.dot(at - kerfs[1].plane.point_m) > 0;
          area += off && !kept ? testing::area_m2(piece) : 0;
        }
        volume_m3 += (station.x_m - x_before_m) * (area + area_before_m2) / 2;  // nothing before the first
        x_before_m = station.x_m;
        area_before_m2 = area;
      }
      errors.piece_weights_kg.push_back(cut.piece_weight_kg - volume_m3 * planned_.log.density_kg_m3);
    }
  }

  /// Along the true bark, lumps and all, at the log's middle.
  void walk(SetupErrors& errors) const {
    constexpr int kSteps = 400;
    const double x_m = truth_.usable_length_m / 2;
    const Vector2d centre = truth_.centre_at(x_m);
    double length_m = 0;
    Vector2d before;
    for (int i = 0; i <= kSteps; ++i) {
      const double theta = std::numbers::pi / 2 - sheet_.roll_rad * i / kSteps;
      const Vector2d at =
          truth_.bark_radius_at(x_m, centre, theta) * Vector2d(std::cos(theta), std::sin(theta));
      length_m += i == 0 ? 0 : (at - before).norm();
      before = at;
    }
    errors.bark_walk_m = std::abs(sheet_.bark_walk_m) - length_m;
  }

  /// Level planes by the marks from the tops of both ends; edging lines measured from the left bark edge of
  /// the face that those planes make.
  Layout layout_by_tape(const std::pair<double, double>& off_m, SetupErrors& errors) const {
    Layout layout;
    layout.up = Shift::through(0, off_m.first, planned_.log.usable_length_m(), off_m.second);
    for (const solver::FlitchLayout& flitch : sheet_.flitches) {
      const CutPlane upper =
          in_bench(planned_.plan.planes[planned_.plan.flitches[flitch.flitch].upper_plane]);
      for (const solver::EdgingWindow& window : flitch.windows) {
        const auto off_left_m = [&](double x_m, double planned_edge_m) {
          const double face_m = height_at(upper, x_m) + layout.up.at(x_m) - planned_.plan.options.kerf_m / 2;
          const auto edge_m = bark_along({x_m, 0, face_m}, Vector3d::UnitY());
          return edge_m ? *edge_m - planned_edge_m : 0.0;
        };
        const double at_start_m = off_left_m(window.start_m, edge_m(flitch, window.start_m));
        const double at_end_m = off_left_m(window.end_m, edge_m(flitch, window.end_m));
        errors.edging_lines_m.push_back(-at_start_m);
        errors.edging_lines_m.push_back(-at_end_m);
        layout.left[{flitch.flitch, window.window}] =
            Shift::through(window.start_m, at_start_m, window.end_m, at_end_m);
      }
    }
    return layout;
  }

  /// The planned left bark edge of the upper face, linear between the sections.
  static double edge_m(const solver::FlitchLayout& flitch, double x_m) {
    const auto& xs = flitch.x_m;
    const auto upper = std::clamp<std::ptrdiff_t>(std::upper_bound(xs.begin(), xs.end(), x_m) - xs.begin(), 1,
                                                  static_cast<std::ptrdiff_t>(xs.size()) - 1);
    const auto i = static_cast<std::size_t>(upper);
    const double u = (x_m - xs[i - 1]) / (xs[i] - xs[i - 1]);
    return (1 - u) * flitch.upper_left_m[i - 1] + u * flitch.upper_left_m[i];
  }

  CutPlane opening_;  ///< bench frame
};

/// The true pith as a person with a tape finds it, the log as it lies.
PithByTape::Place taped_pith(const simulate::Truth& truth, bool large_end) {
  const Vector2d& pith = large_end ? truth.pith_large_end_m : truth.pith_small_end_m;
  const simulate::TruthEnd& end = large_end ? truth.large_end : truth.small_end;
  const double inwards = large_end ? -kInsideEnd_m : kInsideEnd_m;
  const double face_x_m = end.point_m.x() - (end.normal.y() * (pith.x() - end.point_m.y()) +
                                             end.normal.z() * (pith.y() - end.point_m.z())) /
                                                end.normal.x();
  const Vector3d at(face_x_m + inwards, pith.x(), pith.y());
  const auto to_bark_m = [&](const Vector3d& outwards) {
    const Vector3d in_face(-end.normal.dot(outwards) / end.normal.x(), outwards.y(), outwards.z());
    const Vector3d start = truth.to_scan(at + kFar_m * in_face);
    const Vector3d way = truth.to_scan(at) - start;
    const auto gap = truth.bark_top_below(start, way);
    return gap ? kFar_m - *gap / in_face.norm() : 0;
  };
  return {to_bark_m(Vector3d::UnitZ()), to_bark_m((large_end ? -1 : 1) * Vector3d::UnitY())};
}

}  // namespace

std::vector<SetupErrors> judge_setups(std::uint64_t seed, const std::vector<std::filesystem::path>& kits,
                                      const solver::Target& target, std::uint64_t most_nodes,
                                      solver::Pattern pattern) {
  const simulate::Simulation simulation = simulate::simulate_random(seed, simulate::photo_scanner());
  const auto file = std::filesystem::temp_directory_path() /
                    ("flitchwise-setup-" + std::to_string(getpid()) + "-" + std::to_string(seed) + ".ply");
  simulate::write_file(file, simulate::scan_bytes(simulation.scan, simulate::FileFormat::ply_binary, {}));
  PlanRequest request;
  request.scan.files = {{file}};
  request.targets = {target};
  request.scan.bark_m = simulation.truth.bark_m;
  request.search.time_limit_s = 3600;  // ends by nodes
  request.search.most_nodes = most_nodes;
  request.search.pattern = pattern;
  request.advice_time_s = 0;
  if (seed % 2 == 0) {
    request.pith = {taped_pith(simulation.truth, false), taped_pith(simulation.truth, true)};
  }
  std::vector<SetupErrors> all;
  for (const std::filesystem::path& kit : kits) {
    request.kit = solver::read_kit(kit);
    SetupErrors errors;
    errors.planned = plan_log(request);
    if (errors.planned.outcome == PlannedLog::Outcome::scan_will_not_do) {
      std::filesystem::remove(file);
      throw std::runtime_error("seed " + std::to_string(seed) + ": " +
                               report::words(errors.planned.message.value(), report::Units::millimetres));
    }
    if (errors.planned.outcome == PlannedLog::Outcome::done) {
      Judge(errors.planned, simulation.truth).judge(errors);
      all.push_back(std::move(errors));
    }
  }
  std::filesystem::remove(file);
  return all;
}

}  // namespace flitchwise::testing
