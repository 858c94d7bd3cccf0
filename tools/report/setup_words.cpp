#include "tools/report/setup_words.hpp"

#include <cmath>

namespace flitchwise::report {
namespace {

using namespace solver;

/// Lists with commas between.
void append(std::string& list, const std::string& more) {
  list += (list.empty() ? "" : ", ") + more;
}

/// A length that something is bought by: the next whole ten millimetres.
double bought_m(double length_m) {
  constexpr double kStep_m = 0.01;
  return std::ceil(length_m / kStep_m) * kStep_m;
}

std::string plane_words(std::size_t plane) {
  return "plane " + std::to_string(plane + 1);
}

/// What every kind of fact is told by.
class Teller {
 public:
  explicit Teller(Units units) : units_(units) {}

 protected:
  std::string length(double length_m) const { return length_text(units_, length_m); }
  std::string weight(double weight_kg) const { return weight_text(units_, weight_kg); }
  Units units() const { return units_; }
  static std::string count(int count, const std::string& noun) {
    return counted(static_cast<std::size_t>(count), noun);
  }
  /// "31 mm at 1500 mm, 12 mm at 2200 mm"
  std::string places(const std::vector<Knot>& knots) const {
    std::string all;
    for (const Knot& knot : knots) {
      append(all, length(knot.height_m) + " at " + length(knot.x_m));
    }
    return all;
  }

 private:
  Units units_;
};

/// What stands against a plane, as a part of a sentence.
class ObstacleTeller : Teller {
 public:
  ObstacleTeller(Units units, std::size_t plane) : Teller(units), plane_(plane_words(plane)) {}

  std::string operator()(const CutTooWide& what) const {
    return "at " + plane_ + ", the cut is " + length(what.width_m) + " wide and the bar spans " +
           length(what.bar_m);
  }
  std::string operator()(const NoRoomForRail& /*what*/) const {
    return "over " + plane_ + ", the saw's depth range leaves no room for the rail above the bark";
  }
  std::string operator()(const ScrewsLackWood& what) const {
    return "over " + plane_ + ", " + std::to_string(what.screws) + " of " + std::to_string(what.of_screws) +
           " screws would lack the " + length(what.needed_m) + " of bark and wood that " +
           (what.screws == 1 ? "it needs" : "they need") + " above the cut";
  }
  std::string operator()(const BarkInTheWay& what) const {
    return "over " + plane_ + ", bark would have to be cut away at " + count(what.places, "place") +
           " before the rail lies";
  }

 private:
  std::string plane_;
};

std::string obstacle_words(const Obstacle& obstacle, Units units) {
  return std::visit(ObstacleTeller(units, obstacle.plane), obstacle.what);
}

std::string compromise_words(const Obstacle& obstacle, Units units) {
  return "no plane of the stack works with this kit; " + plane_words(obstacle.plane) +
         " is the best compromise: " + obstacle_words(obstacle, units);
}

class FactTeller : Teller {
 public:
  using Teller::Teller;

  std::string operator()(const OpeningFails& fact) const {
    return "The opening cut does not work with this kit: " + compromise_words(fact.obstacle, units()) + ".";
  }
  std::string operator()(const BarTooShort& fact) const {
    return "The bar is too short for " + count(fact.cuts, "cut") + ": cut " +
           std::to_string(fact.widest_cut) + " is " + length(fact.width_m) + " wide and the bar spans " +
           length(fact.bar_m) + "; a bar that spans " + length(bought_m(fact.width_m)) + " would do.";
  }
  std::string operator()(const DepthOutOfRange& fact) const {
    return "Cut " + std::to_string(fact.cut) + " needs a saw depth of " + length(fact.depth_m) +
           ", but the saw can be set from " + length(fact.least_m) + " to " + length(fact.most_m) + ".";
  }
  std::string operator()(const KerfDiffers& fact) const {
    // In the kit file's unit: a sixteenth of an inch would hide the difference.
    return "The plan was made for a kerf of " + plain(fact.plan_m * kMmAMetre) +
           " millimetres, but the kit's saw cuts " + plain(fact.kit_m * kMmAMetre) +
           " millimetres: plan again with the kit's kerf.";
  }
  std::string operator()(const BracketsTooHigh& fact) const {
    return "The end brackets are " + length(fact.bracket_m) + " high and the rail lies only " +
           length(fact.rail_height_m) +
           " above the cut: the saw would run into them; use brackets no higher than " +
           length(fact.would_do_m) + ".";
  }
  std::string operator()(const ScrewsNearCut& fact) const {
    std::string all;
    for (const ScrewFault& place : fact.places) {
      append(all, (fact.many_positions ? "position " + std::to_string(place.rail_position) + " " : "") +
                      "support " + std::to_string(place.support) + (place.left ? " left" : " right") +
                      (place.most_bite_m > 0
                           ? " (at most " + length(rounded_down(units(), place.most_bite_m)) + " deep)"
                           : " (no screw)"));
    }
    return "Screws that go " + length(fact.bite_m) + " below the bark would end less than " +
           length(fact.to_cut_m) + " from the cut; use shorter ones here: " + all + ".";
  }
  std::string operator()(const TooFewSupports& fact) const {
    return "Rail position " + std::to_string(fact.rail_position) + " has " + count(fact.supports, "support") +
           " on the log: it needs two; choose other support positions.";
  }
  std::string operator()(const ScrewsLackWood& fact) const {
    return count(fact.screws, "screw") + " of " + std::to_string(fact.of_screws) +
           " on the log would have less than " + length(fact.needed_m) +
           " of bark and wood above the cut: leave them up, or use screws that bite less.";
  }
  std::string operator()(const BlocksNeeded& fact) const {
    return count(fact.screws, "screw") + (fact.screws == 1 ? " needs a block" : " need blocks") +
           "; screws that reach " + length(fact.reach_m) + " would do without.";
  }
  std::string operator()(const BarkInTheWay& fact) const {
    return "Bark or a knot must be cut away at " + count(fact.places, "place") +
           " so that the rail can lie; see the supports and high spots.";
  }
  std::string operator()(const BarkUnseen& fact) const {
    return "The scan did not see the bark under " + count(fact.screws, "screw") +
           ": measure the gaps there before you trust them.";
  }
  std::string operator()(const RailSags& fact) const {
    constexpr double kStep_m = 0.01;
    return "The rail sags " + fine_length(units(), fact.sag_m) +
           " between its supports, more than the kit allows (" + fine_length(units(), fact.most_m) +
           "): supports no further apart than " + length(std::floor(fact.span_m / kStep_m) * kStep_m) +
           " would do.";
  }
  std::string operator()(const KnotsUnderLog& fact) const {
    return "Knots or stubs come under the log while it is rolled, from the small end: " + places(fact.knots) +
           "; cut them off first, or lift the log over them.";
  }
  std::string operator()(const ButtSwells& fact) const {
    return "The butt swells by " + length(fact.by_m) +
           " more than the log tapers: rolled on the ground the log runs in a curve; bear it on the stem, "
           "not on the swelling.";
  }
  std::string operator()(const KnotsAtRail& fact) const {
    return "Knots or stubs stand out under or beside the rail, from the small end: " + places(fact.knots) +
           ".";
  }
  std::string operator()(const ScrewsOnStubs& fact) const {
    std::string all;
    for (const ScrewsOnStubs::Screw& screw : fact.screws) {
      append(all, std::string("the ") + (screw.left ? "left" : "right") + " one of support " +
                      std::to_string(screw.support) + " of rail position " +
                      std::to_string(screw.rail_position));
    }
    return "Screws stand on a stub: " + all +
           "; saw it off flush first, and take the gap there from the rail by tape.";
  }
  std::string operator()(const PithAssumed& /*fact*/) const {
    return "The pith was assumed in the middle of each end: set the marks by the top and bottom of the end "
           "instead.";
  }
  std::string operator()(const HeavyPiece& fact) const {
    return "The piece that cut " + std::to_string(fact.cut) + " takes off weighs about " +
           weight(fact.weight_kg) + ", more than " +
           (fact.people == 2 ? "two" : std::to_string(fact.people)) + " people may lift (" +
           weight(kLift_kg) + " each at best): slide or lever it.";
  }
  std::string operator()(const HeavyLog& fact) const {
    return "The log weighs about " + weight(fact.weight_kg) +
           ": roll it with levers from the uphill side, with nobody below it.";
  }
  std::string operator()(const SpeciesUnknown& /*fact*/) const {
    return "The species is not known: weights are for the mean of many green species.";
  }
};

std::string mend_words(const KitMend& mend, Units units) {
  const std::string length = length_text(units, mend.length_m);
  switch (mend.kind) {
    case KitMend::Kind::bar:
      return "a bar that spans " + length;
    case KitMend::Kind::saw:
      return "a saw that cuts " + length + " deeper";
    case KitMend::Kind::screws:
      break;
  }
  return "screws that need " + length + " less wood above the cut";
}

/// The worse of two screws: by what has to be done, then by how much.
bool is_worse(const ScrewPoint& a, const ScrewPoint& b) {
  return a.status != b.status ? a.status > b.status : a.amount_m > b.amount_m;
}

}  // namespace

std::string words(const SetupFact& fact, Units units) {
  return std::visit(FactTeller(units), fact);
}

std::string words(const KitCosts& fact, Units units) {
  const auto boards = [](int count) { return counted(static_cast<std::size_t>(count), "board"); };
  return "The best stack (" + boards(fact.best_boards) + ") cannot be opened and sawn with this kit" +
         (fact.mend ? "; with " + mend_words(*fact.mend, units) + " it could" : "") +
         (fact.boards > 0 ? ". This plan is the best that was found for the kit: " + boards(fact.boards) + "."
                          : ". No other stack was found that can: see where the plan is opened, and why.");
}

std::string opening_words(const SetupSheet& sheet, Units units) {
  const OpeningReason& reason = sheet.opening_reason;
  if (!sheet.opening_works) {
    return compromise_words(*reason.obstacle, units);
  }
  const std::string wood =
      "every screw finds at least " + length_text(units, reason.least_wood_m) + " above the cut";
  const std::string obstacle = reason.obstacle ? "; " + obstacle_words(*reason.obstacle, units) : "";
  if (sheet.extra_cut_m > 0) {
    return "an extra cut " + length_text(units, sheet.extra_cut_m) + " above plane 1, the topmost: " + wood +
           obstacle + ". The extra cut only makes a flat; plane 1 is sawn next, with the saw on that flat";
  }
  const std::string plane = plane_words(sheet.opening_plane);
  if (sheet.opening_plane == 0) {
    return plane + ", the topmost: " + wood;
  }
  return plane + ": " + wood + obstacle +
         ". The planes above it are sawn from the piece that comes off, from its flat face";
}

std::string kit_words(const SetupSheet& sheet) {
  return sheet.kit_name.empty() ? "plain kit (built in)" : sheet.kit_name;
}

std::string status_words(const ScrewPoint& screw, Units units) {
  const std::string amount = length_text(units, rounded_up(units, screw.amount_m));
  switch (screw.status) {
    case ScrewPoint::Status::ok:
      return "ok";
    case ScrewPoint::Status::packer:
      return "packer " + amount;
    case ScrewPoint::Status::relieve:
      return "relieve " + amount;
    case ScrewPoint::Status::no_bearing:
      break;
  }
  return "no bearing";
}

std::string status_words(const Support& support, Units units) {
  const std::string left = status_words(support.left, units);
  const std::string right = status_words(support.right, units);
  if (left == right) {
    return left;
  }
  return is_worse(support.left, support.right) ? left + " left" : right + " right";
}

}  // namespace flitchwise::report
