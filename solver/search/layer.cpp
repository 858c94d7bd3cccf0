#include "solver/search/layer.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace flitchwise::solver {
namespace {

constexpr double kYawPrecision_m = 1e-7;  // far below any tolerance, well above rounding
constexpr int kMostCuts = 60;             // cutting planes; 5 to 15 are usual
constexpr double kRounding_m = 1e-9;

/// Value and slope of the function that best_strip maximises.
struct Tangent {
  double yaw = 0;
  double value = 0;
  double slope = 0;
  double middle = 0;
};

Tangent tangent_at(const FreeRun& run, const StripNeed& need, double yaw) {
  double high = std::numeric_limits<double>::infinity();
  double low = -high;
  std::size_t at_high = 0;
  std::size_t at_low = 0;
  for (std::size_t i = 0; i < run.x_m.size(); ++i) {
    const double lean = run.x_m[i] * yaw;
    if (run.high_m[i] - lean < high) {
      high = run.high_m[i] - lean;
      at_high = i;
    }
    if (run.low_m[i] - lean > low) {
      low = run.low_m[i] - lean;
      at_low = i;
    }
  }
  const double stretch = std::sqrt(1 + need.cos2_pitch * yaw * yaw);
  const double sign = yaw > 0 ? 1.0 : (yaw < 0 ? -1.0 : 0.0);
  Tangent tangent;
  tangent.yaw = yaw;
  tangent.value = high - low - need.shear * std::abs(yaw) - need.width_m * stretch;
  tangent.slope =
      run.x_m[at_low] - run.x_m[at_high] - need.shear * sign - need.width_m * need.cos2_pitch * yaw / stretch;
  tangent.middle = (high + low) / 2;
  return tangent;
}

/// Largest value of a concave function of the yaw that `at` gives with its slope.
template <typename At>
Tangent highest(const StripNeed& need, At at) {
  const double least = std::max(-need.most_yaw, need.grain_yaw_low);
  const double most = std::min(need.most_yaw, need.grain_yaw_high);
  if (least > most) {
    return {0, -std::numeric_limits<double>::infinity(), 0, 0};
  }
  Tangent best = at(std::clamp(0.0, least, most));
  if (most > least) {
    Tangent left = at(least);
    Tangent right = at(most);
    const auto keep = [&](const Tangent& t) {
      if (t.value > best.value) {
        best = t;
      }
    };
    keep(left);
    keep(right);
    for (int i = 0; i < kMostCuts && left.slope > 0 && right.slope < 0; ++i) {
      const double yaw = (right.value - left.value + left.slope * left.yaw - right.slope * right.yaw) /
                         (left.slope - right.slope);
      const double bound = left.value + left.slope * (yaw - left.yaw);
      if (bound - best.value < kYawPrecision_m || yaw <= left.yaw || yaw >= right.yaw) {
        break;
      }
      const Tangent middle = at(yaw);
      keep(middle);
      (middle.slope > 0 ? left : right) = middle;
    }
  }
  return best;
}

Strip strip_of(const Tangent& tangent) {
  Strip strip;
  strip.yaw = tangent.yaw;
  strip.middle_y_m = tangent.middle;
  strip.spare_m = tangent.value;
  return strip;
}

}  // namespace

RolledLog::RolledLog(const Job& job, double roll_rad)
    : job_(&job), roll_rad_(roll_rad), sections_(job.sections.size()), turned_(job.sections.size(), 0) {
  Eigen::Matrix2d turn;
  turn << std::cos(roll_rad), -std::sin(roll_rad), std::sin(roll_rad), std::cos(roll_rad);
  pith_m_ = turn * job.pith_m;
  pith_rise_ = turn * job.pith_rise;
}

const RolledSection& RolledLog::section(std::size_t i) {
  if (turned_[i] == 0) {
    sections_[i] = RolledSection(job_->sections[i], roll_rad_);
    turned_[i] = 1;
  }
  return sections_[i];
}

Strip best_strip(const FreeRun& run, const StripNeed& need) {
  return strip_of(highest(need, [&](double yaw) { return tangent_at(run, need, yaw); }));
}

Layer::Layer(RolledLog& log, const Slab& slab, const LayerKind& kind, double grown_m)
    : log_(&log),
      slab_(slab),
      kind_(&kind),
      grown_m_(grown_m),
      grain_allows_(grain_allows()),
      free_(log.job().chamfers.size()),
      known_(log.job().chamfers.size()) {}

/// Of a layer whose boards' wide faces lie in its plane, the plane alone decides.
bool Layer::grain_allows() const {
  const double most = job().options.most_grain_slope;
  if (most == 0 || !kind_->faces_up) {
    return true;
  }
  const Eigen::Vector3d along(1, log_->pith_rise().x(), log_->pith_rise().y());
  const Eigen::Vector3d normal(-slab_.pitch, 0, 1);
  const double off = std::abs(normal.dot(along));
  return off * off <= most * most * (normal.squaredNorm() * along.squaredNorm() - off * off);
}

const Interval& Layer::free_at(std::size_t section, std::size_t chamfer) {
  if (known_[chamfer].empty()) {
    known_[chamfer].assign(job().sections.size(), 0);
    free_[chamfer].resize(job().sections.size());
  }
  Interval& free = free_[chamfer][section];
  if (known_[chamfer][section] == 0) {
    const double stretch = std::sqrt(1 + slab_.pitch * slab_.pitch);  // a level cut through a tilted layer
    const double rise = slab_.pitch * (job().sections[section].x_m - job().solid.pivot_x_m);
    Chamfer legs = job().chamfers[chamfer];
    if (legs.across_m >
        0) {  // a chamfer moved outwards with its board has longer legs: its corners are mitred
      const double slant_m = std::hypot(legs.across_m, legs.up_m);
      const double more = legs.across_m + legs.up_m - slant_m;
      legs = {std::max(0.0, legs.across_m + grown_m_ * more / legs.up_m),
              std::max(0.0, legs.up_m + grown_m_ * more / legs.across_m)};
      legs.up_m *= stretch;
    }
    free = log_->section(section).free_over(slab_.low_m + rise - grown_m_ * stretch,
                                            slab_.high_m + rise + grown_m_ * stretch, legs);
    known_[chamfer][section] = 1;
  }
  return free;
}

double Layer::pith_half_m(double x_m) const {
  const double radius_m = job().options.keep_pith_out_m / 2;
  const double rise = slab_.pitch * (x_m - job().solid.pivot_x_m);
  const double z_m = log_->pith_m(x_m).y();
  const double off_m = std::max({slab_.low_m + rise - z_m, z_m - slab_.high_m - rise, 0.0});
  return off_m < radius_m ? std::sqrt(radius_m * radius_m - off_m * off_m) : -1;
}

bool Layer::run_of(const Place& place, std::size_t chamfer, const Cut& cut, FreeRun& run) {
  const double middle_x_m = place.middle_x_m();
  const double least_m = cut.any_width ? 0 : std::max(0.0, kind_->narrowest_m + 2 * grown_m_);
  const auto add = [&](std::size_t section) {
    Interval free = free_at(section, chamfer);
    const double x_m = job().sections[section].x_m;
    if (cut.side != Side::whole) {
      const double half_m = std::max(pith_half_m(x_m), cut.least_half_m);
      const double pith_y_m = log_->pith_m(x_m).x();
      if (half_m >= 0 && cut.side == Side::left) {
        free.low = std::max(free.low, pith_y_m + half_m - grown_m_);  // the pith stays where it is
      } else if (half_m >= 0) {
        free.high = std::min(free.high, pith_y_m - half_m + grown_m_);
      }
    }
    if (free.width() < least_m) {
      return false;
    }
    run.x_m.push_back(x_m - middle_x_m);
    run.low_m.push_back(free.low);
    run.high_m.push_back(free.high);
    return true;
  };
  return holds_along(place, add);
}

StripNeed Layer::need_of(const Place& place, double width_m, double widest_m) const {
  const double sec = std::sqrt(1 + slab_.pitch * slab_.pitch);
  const double sin = std::abs(slab_.pitch) / sec;
  // x extent of a board: (l cos(pitch) cos(yaw) + w sin(yaw) + t sin(pitch)); it must not leave its place.
  const double room_m =
      job().lengths_m[place.length] * (1 - 1 / sec) + place.spare_m - kind_->thickness_m * sin;
  StripNeed need;
  need.width_m = width_m;
  need.shear = sin * (kind_->thickness_m + 2 * grown_m_);
  need.cos2_pitch = 1 / (sec * sec);
  need.most_yaw = room_m < -kRounding_m ? -1 : std::clamp(room_m / widest_m, 0.0, kMostYaw);
  const double most_slope = job().options.most_grain_slope;
  if (most_slope > 0 && kind_->faces_aside) {
    // The wide face's normal is cos(a) y - sin(a) uphill, tan(a) sec = yaw; its angle to the pith line
    // counts.
    const Eigen::Vector2d& rise = log_->pith_rise();
    const double uphill = (1 + slab_.pitch * rise.y()) / sec;
    const double share = most_slope / std::hypot(1, most_slope) * std::sqrt(1 + rise.squaredNorm()) /
                         std::hypot(rise.x(), uphill);
    if (share < 1) {
      const double middle = std::atan2(rise.x(), uphill);
      need.grain_yaw_low = std::tan(middle - std::asin(share)) * sec;
      need.grain_yaw_high = std::tan(middle + std::asin(share)) * sec;
    }
  }
  return need;
}

double Layer::widest_at(std::size_t place) {
  FreeRun run;
  const StripNeed need = need_of(job().places[place], 0, kind_->narrowest_m);
  if (need.most_yaw < 0 || !run_of(job().places[place], 0, {Side::whole, true, -1}, run)) {
    return -1;
  }
  return best_strip(run, need).spare_m;
}

/// The groups that fit at a place, those worth most first; only the first one unless `all`.
std::vector<Layer::Placed> Layer::fits_at(std::size_t place, const Cut& cut, bool all) {
  std::vector<Placed> fits;
  const Place& at = job().places[place];
  const std::vector<Edging>& menu = kind_->menus[at.length];
  const StripNeed plain = need_of(at, 0, kind_->narrowest_m);
  if (menu.empty() || plain.most_yaw < 0 || !grain_allows_) {
    return fits;
  }
  struct Room {
    bool known = false;
    double width_m = -1;
    FreeRun run;
  };
  std::vector<Room> rooms(job().chamfers.size());
  for (auto edging = menu.rbegin(); edging != menu.rend(); ++edging) {
    Room& room = rooms[edging->chamfer];
    if (!room.known) {
      room.known = true;
      if (run_of(at, edging->chamfer, cut, room.run)) {
        room.width_m = best_strip(room.run, plain).spare_m - 2 * grown_m_;
      }
    }
    if (edging->width_m > room.width_m + kRounding_m || room.run.x_m.empty()) {
      continue;
    }
    const StripNeed need = need_of(at, edging->width_m + 2 * grown_m_, edging->widest_m);
    Strip strip = best_strip(room.run, need);
    if (strip.spare_m >= -kRounding_m) {
      strip.worth = edging->worth;
      strip.place = place;
      strip.groups[0] = {&*edging, strip.middle_y_m};
      fits.push_back({&*edging, strip});
      if (!all) {
        break;
      }
    }
  }
  return fits;
}

bool Layer::pith_in(const Place& place) const {
  return job().options.keep_pith_out_m > 0 &&
         !holds_along(place, [&](std::size_t i) { return pith_half_m(job().sections[i].x_m) < 0; });
}

/// Two groups with one yaw, the pith between them.
Strip Layer::pair_at(std::size_t place, const Placed& left, const Placed& right) {
  const Place& at = job().places[place];
  const double half_m = kind_->kerf_m / 2;
  std::array<FreeRun, 2> runs;
  run_of(at, left.edging->chamfer, {Side::left, false, half_m}, runs[0]);
  run_of(at, right.edging->chamfer, {Side::right, false, half_m}, runs[1]);
  const double widest_m = std::max(left.edging->widest_m, right.edging->widest_m);
  const std::array<StripNeed, 2> needs{need_of(at, left.edging->width_m + 2 * grown_m_, widest_m),
                                       need_of(at, right.edging->width_m + 2 * grown_m_, widest_m)};
  const Tangent best = highest(needs[0], [&](double yaw) {
    const Tangent a = tangent_at(runs[0], needs[0], yaw);
    const Tangent b = tangent_at(runs[1], needs[1], yaw);
    return a.value < b.value ? a : b;
  });
  Strip strip = strip_of(best);
  strip.place = place;
  strip.worth = left.edging->worth + right.edging->worth;
  strip.groups[0] = {left.edging, tangent_at(runs[0], needs[0], best.yaw).middle};
  strip.groups[1] = {right.edging, tangent_at(runs[1], needs[1], best.yaw).middle};
  strip.middle_y_m = strip.groups[0].middle_y_m;
  return strip;
}

/// Where the pith's zone lies in the layer: all boards on one side of it, or some on either.
Strip Layer::parted(std::size_t place) {
  Strip best;
  best.place = place;
  const auto better = [&](const Strip& strip) {
    return strip.spare_m >= -kRounding_m &&
           (strip.worth > best.worth || (strip.worth == best.worth && strip.spare_m > best.spare_m));
  };
  for (const Side side : {Side::left, Side::right}) {
    for (const Placed& fit : fits_at(place, {side, false, -1}, false)) {
      best = better(fit.strip) ? fit.strip : best;
    }
  }
  const double half_m = kind_->kerf_m / 2;
  const std::vector<Placed> lefts = fits_at(place, {Side::left, false, half_m}, true);
  const std::vector<Placed> rights = fits_at(place, {Side::right, false, half_m}, true);
  for (const Placed& left : lefts) {
    for (const Placed& right : rights) {
      if (left.edging->worth + right.edging->worth < best.worth) {
        break;  // the others on the right are worth no more
      }
      const Strip pair = pair_at(place, left, right);
      best = better(pair) ? pair : best;
    }
  }
  return best;
}

Strip Layer::strip_at(std::size_t place) {
  if (pith_in(job().places[place])) {
    return parted(place);
  }
  const std::vector<Placed> fits = fits_at(place, {}, false);
  if (!fits.empty()) {
    return fits.front().strip;
  }
  Strip none;
  none.place = place;
  return none;
}

std::vector<Strip> Layer::best_strips() {
  struct Row {
    Worth worth = 0;
    double spare_m = std::numeric_limits<double>::infinity();
    std::vector<Strip> strips;
  };
  const auto better = [](const Row& a, const Row& b) {
    return a.worth > b.worth || (a.worth == b.worth && a.spare_m > b.spare_m);
  };
  std::vector<Strip> known(job().places.size());
  std::vector<char> is_known(job().places.size(), 0);
  const auto strip_of = [&](std::size_t place) -> const Strip& {
    if (is_known[place] == 0) {
      known[place] = strip_at(place);
      is_known[place] = 1;
    }
    return known[place];
  };
  Row best;
  for (const Layout& layout : job().layouts) {
    // chosen[i]: best row so far whose last window is shifted by at most i. Windows keep their order along
    // the log.
    const std::size_t shifts = layout.windows.front().places.size();
    std::vector<Row> chosen(shifts);
    for (const Window& window : layout.windows) {
      for (std::size_t i = 0; i < shifts; ++i) {
        Row& row = chosen[i];
        const Strip& strip = strip_of(window.places[i]);
        row.worth += strip.worth;
        row.spare_m = strip.worth > 0 ? std::min(row.spare_m, strip.spare_m) : row.spare_m;
        row.strips.push_back(strip);
      }
      for (std::size_t i = 1; i < shifts; ++i) {
        if (!better(chosen[i], chosen[i - 1])) {
          chosen[i] = chosen[i - 1];
        }
      }
    }
    if (best.strips.empty() || better(chosen.back(), best)) {
      best = chosen.back();
    }
  }
  return best.strips;
}

}  // namespace flitchwise::solver
