#include "solver/setup/warnings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/units.hpp"
#include "solver/setup/beam.hpp"
#include "solver/setup/kit.hpp"

namespace flitchwise::solver {
namespace {

/// NIOSH revised lifting equation, load constant: the most that one person may lift under ideal conditions
/// (OSHA states it as 51 lb).
constexpr double kLiftKg = 23;
constexpr int kPeople = 2;
/// A knot this near to the rail's footprint is in the way of screws and hands.
constexpr double kNearRailM = 0.05;
/// Saw settings and kerfs are not known better than this.
constexpr double kKerfToleranceM = 0.0001;
/// Amounts below this are rounding.
constexpr double kRoundingM = 1e-9;

using Warnings = std::vector<std::string>;

std::string kg_text(double weight_kg) {
  return std::to_string(std::lround(weight_kg)) + " kg";
}

std::string count_text(int count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

/// The saw rides on the rail or a sawn face, set to a depth.
bool is_level(const Cut& cut) {
  return cut.kind == Cut::Kind::opening || cut.kind == Cut::Kind::level || cut.kind == Cut::Kind::cant;
}

void warn_opening(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  if (!job.rail.works()) {
    warnings.push_back("The opening cut does not work with this kit: " + sheet.opening_reason + ".");
  }
}

/// Crosscuts are left out: there the bar stands across the flitch's thickness.
void warn_bar(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  int too_wide = 0;
  const Cut* widest = nullptr;
  for (const Cut& cut : sheet.cuts) {
    if (cut.kind == Cut::Kind::crosscut || cut.width_m <= job.kit.saw_usable_bar_m) {
      continue;
    }
    ++too_wide;
    if (widest == nullptr || cut.width_m > widest->width_m) {
      widest = &cut;
    }
  }
  if (widest != nullptr) {
    warnings.push_back(
        "The bar is too short for " + count_text(too_wide, "cut") + ": cut " + std::to_string(widest->order) +
        " is " + mm_text(widest->width_m) + " wide and the bar spans " + mm_text(job.kit.saw_usable_bar_m) +
        "; a bar that spans " + mm_text(std::ceil(widest->width_m * 100) / 100) + " would do.");
  }
}

void warn_depth(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  for (const Cut& cut : sheet.cuts) {
    const bool in_range = cut.saw_depth_m >= job.kit.saw_depth_min_m - kRoundingM &&
                          cut.saw_depth_m <= job.kit.saw_depth_max_m + kRoundingM;
    if (is_level(cut) && !in_range) {
      warnings.push_back("Cut " + std::to_string(cut.order) + " needs a saw depth of " +
                         mm_text(cut.saw_depth_m) + ", but the saw can be set from " +
                         mm_text(job.kit.saw_depth_min_m) + " to " + mm_text(job.kit.saw_depth_max_m) + ".");
      return;  // the others need the same
    }
  }
}

void warn_kerf(const CutPlan& job, Warnings& warnings) {
  if (std::abs(job.kit.kerf_m - job.plan.options.kerf_m) > kKerfToleranceM) {
    // The unit in full keeps tenths of a millimetre from being rounded to sixteenths of an inch.
    warnings.push_back("The plan was made for a kerf of " + number_text(job.plan.options.kerf_m * kMmAMetre) +
                       " millimetres, but the kit's saw cuts " + number_text(job.kit.kerf_m * kMmAMetre) +
                       " millimetres: plan again with the kit's kerf.");
  }
}

/// Each screw that ends too near to the cut, with the length that would do; many in one sentence.
void warn_screws_in_cut(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  if (sheet.screw_faults.empty()) {
    return;
  }
  std::string places;
  for (const ScrewFault& fault : sheet.screw_faults) {
    places += places.empty() ? "" : ", ";
    places += sheet.rail_positions.size() > 1 ? "position " + std::to_string(fault.rail_position) + " " : "";
    places += "support " + std::to_string(fault.support) + (fault.left ? " left" : " right");
    places += fault.most_bite_m > 0
                  ? " (at most " + mm_text(std::floor(fault.most_bite_m * 1000) / 1000) + " deep)"
                  : " (no screw)";
  }
  const double bite_m = std::max(job.kit.screw_bite_m, job.kit.wood_screw_bite_m);
  warnings.push_back("Screws that go " + mm_text(bite_m) + " below the bark would end less than " +
                     mm_text(job.kit.screw_to_cut_m) + " from the cut; use shorter ones here: " + places +
                     ".");
}

void warn_brackets(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  const double needed_m = job.kit.bracket_height_m + job.kit.kerf_m / 2;
  if (job.kit.bracket_height_m > 0 && sheet.rail_height_m < needed_m - kRoundingM) {
    warnings.push_back(
        "The end brackets are " + mm_text(job.kit.bracket_height_m) + " high and the rail lies only " +
        mm_text(sheet.rail_height_m) +
        " above the cut: the saw would run into them; use brackets no higher than " +
        mm_text(std::max(sheet.rail_height_m - job.kit.kerf_m / 2 - job.kit.screw_to_cut_m, 0.0)) + ".");
  }
}

/// Knots and stubs that come to lie under the log while it is rolled, and a butt that swells.
void warn_roll(const LogModel& log, const SetupSheet& sheet, Warnings& warnings) {
  using std::numbers::pi;
  constexpr double kLeastRollRad = 0.0017;  // a tenth of a degree: not rolled
  constexpr double kLeastStubM = 0.015;     // lower ones roll over
  if (std::abs(sheet.roll_rad) < kLeastRollRad) {
    return;
  }
  std::string places;
  for (const Knot& knot : log.knots) {
    // What passes under the log lies between today's lowest line, -pi/2, and tomorrow's, -pi/2 - roll.
    const double spread = knot.extent_m / 2 / station_at(log, knot.x_m).bark_radius_m.mean();
    const double before = std::remainder(knot.theta_rad + pi / 2, 2 * pi);
    const double least = std::min(0.0, -sheet.roll_rad) - spread;
    const double most = std::max(0.0, -sheet.roll_rad) + spread;
    if (knot.height_m >= kLeastStubM && before >= least && before <= most) {
      places += (places.empty() ? "" : ", ") + mm_text(knot.height_m) + " at " + mm_text(knot.x_m);
    }
  }
  if (!places.empty()) {
    warnings.push_back("Knots or stubs come under the log while it is rolled, from the small end: " + places +
                       "; cut them off first, or lift the log over them.");
  }
  // Against the straight taper of the middle half.
  constexpr double kFlareM = 0.04;
  const auto diameter = [&](double share) {
    return 2 * station_at(log, share * log.usable_length_m()).bark_radius_m.mean();
  };
  const double straight_m = diameter(0.75) + (diameter(0.75) - diameter(0.25)) / 2;
  if (diameter(1) - straight_m > kFlareM) {
    warnings.push_back(
        "The butt swells by " + mm_text(diameter(1) - straight_m) +
        " more than the log tapers: rolled on the ground the log runs in a curve; bear it on the "
        "stem, not on the swelling.");
  }
}

void warn_bearing(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  for (const RailPosition& position : sheet.rail_positions) {
    const int number = static_cast<int>(&position - sheet.rail_positions.data()) + 1;
    const auto bearing = std::count_if(
        sheet.supports.begin(), sheet.supports.end(),
        [&](const Support& support) { return support.rail_position == number && bears(support); });
    if (bearing < 2) {
      warnings.push_back("Rail position " + std::to_string(number) + " has " +
                         count_text(static_cast<int>(bearing), "support") +
                         " on the log: it needs two; choose other support positions.");
    }
  }
  if (job.rail.screws_without_wood > 0) {
    warnings.push_back(count_text(job.rail.screws_without_wood, "screw") + " of " +
                       std::to_string(job.rail.screws_on_log) + " on the log would have less than " +
                       mm_text(needed_wood_m(job.kit)) +
                       " of bark and wood above the cut: leave them up, or use screws that bite less.");
  }
}

void warn_screws(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  int packers = 0;
  int reliefs = static_cast<int>(sheet.high_spots.size());
  int unseen = 0;
  double longest_m = 0;
  for (const Support& support : sheet.supports) {
    for (const ScrewPoint* screw : {&support.left, &support.right}) {
      packers += screw->status == ScrewPoint::Status::packer ? 1 : 0;
      reliefs += screw->status == ScrewPoint::Status::relieve ? 1 : 0;
      longest_m =
          screw->status == ScrewPoint::Status::packer ? std::max(longest_m, screw->amount_m) : longest_m;
      unseen += screw->status != ScrewPoint::Status::no_bearing && !screw->seen ? 1 : 0;
    }
  }
  if (packers > 0) {
    warnings.push_back(count_text(packers, "screw") + " need blocks; screws that reach " +
                       mm_text(job.kit.screw_reach_max_m + longest_m + 0.001) + " would do without.");
  }
  if (reliefs > 0) {
    warnings.push_back("Bark or a knot must be cut away at " + count_text(reliefs, "place") +
                       " so that the rail can lie; see the supports and high spots.");
  }
  if (unseen > 0) {
    warnings.push_back("The scan did not see the bark under " + count_text(unseen, "screw") +
                       ": measure the gaps there before you trust them.");
  }
}

void warn_sag(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  if (sheet.rail_sag_m <= job.kit.most_sag_m) {
    return;
  }
  constexpr double kTenths = 10000;
  const double span_m =
      longest_span_m(job.kit.rail_weight_kg * kGravity / job.kit.rail_length_m,
                     job.kit.saw_weight_kg * kGravity, job.kit.rail_ei_n_m2, job.kit.most_sag_m);
  warnings.push_back("The rail sags " + number_text(std::round(sheet.rail_sag_m * kTenths) / 10) +
                     " mm between its supports, more than " + number_text(job.kit.most_sag_m * 1000) +
                     " mm: supports no further apart than " + mm_text(std::floor(span_m * 100) / 100) +
                     " would do.");
}

/// Screws that stand on the foot of a stub, which is higher than a half ball: there the bark that the scan
/// saw is no measure for the gap.
std::string screws_on(const Knot& knot, double foot_y_m, const SetupSheet& sheet) {
  std::string screws;
  if (knot.height_m <= knot.extent_m / 2) {
    return screws;
  }
  const double near_m = (knot.extent_m + sheet.kit.screw_diameter_m) / 2;
  for (const Support& support : sheet.supports) {
    for (const ScrewPoint* screw : {&support.left, &support.right}) {
      if (screw->status != ScrewPoint::Status::no_bearing && support.same_place_as == 0 &&
          std::hypot(support.x_m - knot.x_m, screw->y_m - foot_y_m) < near_m) {
        screws += (screws.empty() ? "the " : " and the ") +
                  std::string(screw == &support.left ? "left" : "right") + " one of support " +
                  std::to_string(support.support) + " of rail position " +
                  std::to_string(support.rail_position);
      }
    }
  }
  return screws;
}

/// Knots on the upper side that the rail or its screws may meet, in one sentence, and screws on stubs
/// in another.
void warn_knots(const LogModel& log, const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  const double half_m = job.kit.rail_width_m / 2 + kNearRailM;
  std::string places;
  std::string screws;
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
      places += (places.empty() ? "" : ", ") + mm_text(knot.height_m) + " at " + mm_text(knot.x_m);
    }
    if (const std::string on_it = screws_on(knot, y_m, sheet); !on_it.empty()) {
      screws += (screws.empty() ? "" : ", ") + on_it;
    }
  }
  if (!places.empty()) {
    warnings.push_back("Knots or stubs stand out under or beside the rail, from the small end: " + places +
                       ".");
  }
  if (!screws.empty()) {
    warnings.push_back("Screws stand on a stub: " + screws +
                       "; saw it off flush first, and take the gap there from the rail by tape.");
  }
}

void warn_weight(const CutPlan& job, const SetupSheet& sheet, Warnings& warnings) {
  const Cut* heaviest = nullptr;
  for (const Cut& cut : sheet.cuts) {
    if (heaviest == nullptr || cut.piece_weight_kg > heaviest->piece_weight_kg) {
      heaviest = &cut;
    }
  }
  if (heaviest != nullptr && heaviest->piece_weight_kg > kPeople * kLiftKg) {
    warnings.push_back("The piece that cut " + std::to_string(heaviest->order) + " takes off weighs about " +
                       kg_text(heaviest->piece_weight_kg) + ", more than two people may lift (" +
                       kg_text(kLiftKg) + " each at best): slide or lever it.");
  }
  if (sheet.roll_rad != 0 && job.density_kg_m3 > 0) {
    warnings.push_back("The log weighs about " + kg_text(sheet.log_weight_kg) +
                       ": roll it with levers from the uphill side, with nobody below it.");
  }
}

}  // namespace

std::vector<std::string> setup_warnings(const LogModel& log, const CutPlan& job, const SetupSheet& sheet) {
  Warnings warnings;
  warn_opening(job, sheet, warnings);
  warn_bar(job, sheet, warnings);
  warn_depth(job, sheet, warnings);
  warn_kerf(job, warnings);
  warn_brackets(job, sheet, warnings);
  warn_screws_in_cut(job, sheet, warnings);
  warn_bearing(job, sheet, warnings);
  warn_screws(job, sheet, warnings);
  warn_sag(job, sheet, warnings);
  warn_roll(log, sheet, warnings);
  warn_knots(log, job, sheet, warnings);
  if (log.pith.source == Pith::Source::assumed_middle) {
    warnings.emplace_back(
        "The pith was assumed in the middle of each end: set the marks by the top and bottom of the end "
        "instead.");
  }
  warn_weight(job, sheet, warnings);
  if (log.density_kg_m3 <= 0) {
    warnings.emplace_back("The species is not known: weights are for the mean of many green species.");
  }
  return warnings;
}

}  // namespace flitchwise::solver
