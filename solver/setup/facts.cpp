#include "solver/setup/facts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/setup/beam.hpp"

namespace flitchwise::solver {
namespace {

constexpr int kPeople = 2;
/// A knot this near to the rail's footprint is in the way of screws and hands.
constexpr double kNearRail_m = 0.05;
/// Saw settings and kerfs are not known better than this.
constexpr double kKerfTolerance_m = 0.0001;
/// Amounts below this are rounding.
constexpr double kRounding_m = 1e-9;

using Facts = std::vector<SetupFact>;

/// The saw rides on the rail or a sawn face, set to a depth.
bool is_level(const Cut& cut) {
  return cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level || cut.kind == Cut::Kind::cant;
}

/// Crosscuts are left out: there the bar stands across the flitch's thickness.
void find_short_bar(const CutPlan& job, const SetupSheet& sheet, Facts& facts) {
  BarTooShort fact;
  fact.bar_m = job.kit.saw_usable_bar_m;
  for (const Cut& cut : sheet.cuts) {
    if (cut.kind == Cut::Kind::crosscut || cut.width_m <= fact.bar_m) {
      continue;
    }
    ++fact.cuts;
    if (cut.width_m > fact.width_m) {
      fact.widest_cut = cut.order;
      fact.width_m = cut.width_m;
    }
  }
  if (fact.cuts > 0) {
    facts.emplace_back(fact);
  }
}

void find_depth(const Kit& kit, const SetupSheet& sheet, Facts& facts) {
  for (const Cut& cut : sheet.cuts) {
    const bool in_range = cut.saw_depth_m >= kit.saw_depth_min_m - kRounding_m &&
                          cut.saw_depth_m <= kit.saw_depth_max_m + kRounding_m;
    if (is_level(cut) && !in_range) {
      facts.emplace_back(
          DepthOutOfRange{cut.order, cut.saw_depth_m, kit.saw_depth_min_m, kit.saw_depth_max_m});
      return;  // the others need the same
    }
  }
}

void find_kit_faults(const CutPlan& job, const SetupSheet& sheet, Facts& facts) {
  const Kit& kit = job.kit;
  if (std::abs(kit.kerf_m - job.plan.options.kerf_m) > kKerfTolerance_m) {
    facts.emplace_back(KerfDiffers{job.plan.options.kerf_m, kit.kerf_m});
  }
  if (kit.bracket_height_m > 0 && sheet.rail_height_m < kit.bracket_height_m + kit.kerf_m / 2 - kRounding_m) {
    const double room_m = sheet.rail_height_m - kit.kerf_m / 2 - kit.screw_to_cut_m;
    facts.emplace_back(BracketsTooHigh{kit.bracket_height_m, sheet.rail_height_m, std::max(room_m, 0.0)});
  }
  if (!sheet.screw_faults.empty()) {
    facts.emplace_back(ScrewsNearCut{sheet.screw_faults, sheet.rail_positions.size() > 1,
                                     std::max(kit.screw_bite_m, kit.wood_screw_bite_m), kit.screw_to_cut_m});
  }
}

/// Knots and stubs that come to lie under the log while it is rolled, and a butt that swells.
void find_roll(const LogModel& log, const SetupSheet& sheet, Facts& facts) {
  using std::numbers::pi;
  constexpr double kLeastRoll_rad = 0.0017;  // a tenth of a degree: not rolled
  constexpr double kLeastStub_m = 0.015;     // lower ones roll over
  if (std::abs(sheet.roll_rad) < kLeastRoll_rad) {
    return;
  }
  KnotsUnderLog under;
  for (const Knot& knot : log.knots) {
    // What passes under the log lies between today's lowest line, -pi/2, and tomorrow's, -pi/2 - roll.
    const double spread = knot.extent_m / 2 / station_at(log, knot.x_m).bark_radius_m.mean();
    const double before = std::remainder(knot.theta_rad + pi / 2, 2 * pi);
    const double least = std::min(0.0, -sheet.roll_rad) - spread;
    const double most = std::max(0.0, -sheet.roll_rad) + spread;
    if (knot.height_m >= kLeastStub_m && before >= least && before <= most) {
      under.knots.push_back(knot);
    }
  }
  if (!under.knots.empty()) {
    facts.emplace_back(std::move(under));
  }
  // Against the straight taper of the middle half.
  constexpr double kFlare_m = 0.04;
  const auto diameter = [&](double share) {
    return 2 * station_at(log, share * log.usable_length_m()).bark_radius_m.mean();
  };
  const double straight_m = diameter(0.75) + (diameter(0.75) - diameter(0.25)) / 2;
  if (diameter(1) - straight_m > kFlare_m) {
    facts.emplace_back(ButtSwells{diameter(1) - straight_m});
  }
}

void find_bearing(const CutPlan& job, const SetupSheet& sheet, Facts& facts) {
  for (std::size_t i = 0; i < sheet.rail_positions.size(); ++i) {
    const int number = static_cast<int>(i) + 1;
    const auto bearing = std::count_if(
        sheet.supports.begin(), sheet.supports.end(),
        [&](const Support& support) { return support.rail_position == number && bears(support); });
    if (bearing < 2) {
      facts.emplace_back(TooFewSupports{number, static_cast<int>(bearing)});
    }
  }
  if (job.rail.screws_without_wood > 0) {
    facts.emplace_back(
        ScrewsLackWood{job.rail.screws_without_wood, job.rail.screws_on_log, needed_wood_m(job.kit)});
  }
}

void find_screws(const Kit& kit, const SetupSheet& sheet, Facts& facts) {
  constexpr double kBeyond_m = 0.001;  // a screw at the very end of its reach holds nothing
  BlocksNeeded blocks;
  BarkInTheWay bark{static_cast<int>(sheet.high_spots.size())};
  BarkUnseen unseen;
  double longest_m = 0;
  for (const Support& support : sheet.supports) {
    for (const ScrewPoint* screw : {&support.left, &support.right}) {
      if (screw->status == ScrewPoint::Status::packer) {
        ++blocks.screws;
        longest_m = std::max(longest_m, screw->amount_m);
      }
      bark.places += screw->status == ScrewPoint::Status::relieve ? 1 : 0;
      unseen.screws += screw->status != ScrewPoint::Status::no_bearing && !screw->seen ? 1 : 0;
    }
  }
  if (blocks.screws > 0) {
    blocks.reach_m = kit.screw_reach_max_m + longest_m + kBeyond_m;
    facts.emplace_back(blocks);
  }
  if (bark.places > 0) {
    facts.emplace_back(bark);
  }
  if (unseen.screws > 0) {
    facts.emplace_back(unseen);
  }
}

/// Adds the screws that stand on the foot of a stub, which is higher than a half ball.
void add_screws_on(const Knot& knot, double foot_y_m, const SetupSheet& sheet, ScrewsOnStubs& found) {
  if (knot.height_m <= knot.extent_m / 2) {
    return;
  }
  const double near_m = (knot.extent_m + sheet.kit.screw_diameter_m) / 2;
  for (const Support& support : sheet.supports) {
    for (const ScrewPoint* screw : {&support.left, &support.right}) {
      if (screw->status != ScrewPoint::Status::no_bearing && support.same_place_as == 0 &&
          std::hypot(support.x_m - knot.x_m, screw->y_m - foot_y_m) < near_m) {
        found.screws.push_back({support.rail_position, support.support, screw == &support.left});
      }
    }
  }
}

/// Knots on the upper side that the rail or its screws may meet, and screws on stubs.
void find_knots(const LogModel& log, const SetupSheet& sheet, Facts& facts) {
  const double half_m = sheet.kit.rail_width_m / 2 + kNearRail_m;
  KnotsAtRail at_rail;
  ScrewsOnStubs on_stubs;
  for (const Knot& knot : log.knots) {
    const double theta = knot.theta_rad + sheet.roll_rad;
    const Station station = station_at(log, knot.x_m);
    const Eigen::Vector2d centre =
        bench_from_log(sheet.roll_rad).bottomRightCorner<2, 2>() * station.centre_m;
    const double y_m = centre.x() + station.bark_radius_m.mean() * std::cos(theta);
    if (std::sin(theta) <= 0) {
      continue;
    }
    if (std::abs(y_m - sheet.rail_y_m) <= half_m + knot.extent_m / 2) {
      at_rail.knots.push_back(knot);
    }
    add_screws_on(knot, y_m, sheet, on_stubs);
  }
  if (!at_rail.knots.empty()) {
    facts.emplace_back(std::move(at_rail));
  }
  if (!on_stubs.screws.empty()) {
    facts.emplace_back(std::move(on_stubs));
  }
}

void find_weight(const SetupSheet& sheet, Facts& facts) {
  const auto heaviest =
      std::max_element(sheet.cuts.begin(), sheet.cuts.end(),
                       [](const Cut& a, const Cut& b) { return a.piece_weight_kg < b.piece_weight_kg; });
  if (heaviest != sheet.cuts.end() && heaviest->piece_weight_kg > kPeople * kLift_kg) {
    facts.emplace_back(HeavyPiece{heaviest->order, heaviest->piece_weight_kg, kPeople});
  }
  if (sheet.roll_rad != 0 && sheet.log_weight_kg > 0) {
    facts.emplace_back(HeavyLog{sheet.log_weight_kg});
  }
}

}  // namespace

std::vector<SetupFact> setup_facts(const LogModel& log, const CutPlan& job, const SetupSheet& sheet) {
  Facts facts;
  if (!sheet.opening_works) {
    facts.emplace_back(OpeningFails{*sheet.opening_reason.obstacle});
  }
  find_short_bar(job, sheet, facts);
  find_depth(job.kit, sheet, facts);
  find_kit_faults(job, sheet, facts);
  find_bearing(job, sheet, facts);
  find_screws(job.kit, sheet, facts);
  if (sheet.rail_sag_m > job.kit.most_sag_m) {
    facts.emplace_back(RailSags{sheet.rail_sag_m, job.kit.most_sag_m, sheet.longest_span_m});
  }
  find_roll(log, sheet, facts);
  find_knots(log, sheet, facts);
  if (log.pith.source == Pith::Source::assumed_middle) {
    facts.emplace_back(PithAssumed{});
  }
  find_weight(sheet, facts);
  if (log.density_kg_m3 <= 0) {
    facts.emplace_back(SpeciesUnknown{});
  }
  return facts;
}

}  // namespace flitchwise::solver
