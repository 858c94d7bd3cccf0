#include "solver/search/section.hpp"

#include <algorithm>
#include <cmath>

#include "scan/model/between.hpp"

namespace flitchwise::solver {
namespace {

Section section_of(const Station& station, double sigmas) {
  const Eigen::MatrixX2d outline = planning_outline_m(station, sigmas);
  Section section;
  section.x_m = station.x_m;
  section.centre_m = station.centre_m;
  section.y_m = outline.col(0).array();
  section.z_m = outline.col(1).array();
  section.radius_m = (outline.rowwise() - station.centre_m.transpose()).rowwise().norm().array();
  return section;
}

}  // namespace

Solid solid_of(const LogModel& log, double sigmas) {
  Solid solid;
  for (const Station& station : log.stations) {
    solid.stations.push_back(section_of(station, sigmas));
    const Section& section = solid.stations.back();
    solid.middle_m += section.centre_m / static_cast<double>(log.stations.size());
    solid.reach_m =
        std::max(solid.reach_m, std::sqrt((section.y_m.square() + section.z_m.square()).maxCoeff()));
    solid.largest_width_m = std::max(solid.largest_width_m, 2 * section.radius_m.maxCoeff());
  }
  solid.usable_m = log.usable_length_m();
  solid.pivot_x_m = solid.usable_m / 2;
  return solid;
}

Section section_at(const Solid& solid, double x_m) {
  const auto here = between(solid.stations, x_m);
  return {here.x_m, here.mixed(&Section::centre_m), here.mixed(&Section::radius_m), here.mixed(&Section::y_m),
          here.mixed(&Section::z_m)};
}

RolledSection::RolledSection(const Section& section, double roll_rad)
    : y_m_(section.y_m * std::cos(roll_rad) - section.z_m * std::sin(roll_rad)),
      z_m_(section.y_m * std::sin(roll_rad) + section.z_m * std::cos(roll_rad)) {
  const Eigen::Index n = y_m_.size();
  Eigen::Index lowest = 0;
  Eigen::Index highest = 0;
  bottom_m_ = z_m_.minCoeff(&lowest);
  top_m_ = z_m_.maxCoeff(&highest);
  const auto walk = [&](Eigen::Index step, Flank& flank) {
    for (Eigen::Index k = lowest;; k = (k + step + n) % n) {
      if (!flank.z_m.empty() && z_m_[k] <= flank.z_m.back()) {
        return false;
      }
      flank.y_m.push_back(y_m_[k]);
      flank.z_m.push_back(z_m_[k]);
      if (k == highest) {
        return true;
      }
    }
  };
  // Angles ascend from +y to +z, so a walk with them from the bottom climbs the flank at high y.
  flanks_rise_ = walk(1, left_) && walk(-1, right_);
}

double RolledSection::Band::drawn_back_m(double z_m) const {
  const double inside_m = std::min(z_m - low_m, high_m - z_m);
  return chamfer.up_m > 0 ? chamfer.across_m * std::max(0.0, 1 - inside_m / chamfer.up_m) : 0;
}

/// `outwards` is 1 for the flank at high y and -1 for the other.
template <typename Pick>
double RolledSection::Flank::extreme(const Band& band, double outwards, Pick pick) const {
  const auto y_at = [&](std::size_t next, double z) {
    const std::size_t i = std::clamp<std::size_t>(next, 1, z_m.size() - 1);
    const double y = y_m[i - 1] + (y_m[i] - y_m[i - 1]) * (z - z_m[i - 1]) / (z_m[i] - z_m[i - 1]);
    return y + outwards * band.drawn_back_m(z);
  };
  const auto next_to = [&](double z) {
    return static_cast<std::size_t>(std::upper_bound(z_m.begin(), z_m.end(), z) - z_m.begin());
  };
  std::size_t next = next_to(band.low_m);
  double found = y_at(next, band.low_m);
  for (; next < z_m.size() && z_m[next] < band.high_m; ++next) {
    found = pick(found, y_m[next] + outwards * band.drawn_back_m(z_m[next]));
  }
  found = pick(found, y_at(next, band.high_m));
  if (band.chamfer.up_m > 0) {  // where the chamfers end, the width bends
    for (const double z : {band.low_m + band.chamfer.up_m, band.high_m - band.chamfer.up_m}) {
      found = pick(found, y_at(next_to(z), z));
    }
  }
  return found;
}

Interval RolledSection::free_over(double z_low_m, double z_high_m, const Chamfer& chamfer) const {
  if (z_low_m < bottom_m_ || z_high_m > top_m_) {
    return {};
  }
  const Band band{z_low_m, z_high_m, chamfer};
  if (!flanks_rise_) {
    return free_over_any(band);
  }
  const auto lower = [](double a, double b) { return std::min(a, b); };
  const auto higher = [](double a, double b) { return std::max(a, b); };
  return {right_.extreme(band, -1, higher), left_.extreme(band, 1, lower)};
}

Interval RolledSection::free_over_any(const Band& band) const {
  // Going round with the angle, wood lies at lower y than a rising edge and at higher y than a falling one.
  // If every part of a falling edge in the layer lies at y <= low and every part of a rising one at y >=
  // high, no edge enters the rectangle between them and it has a falling edge beside it: it is all wood.
  const Eigen::Index n = y_m_.size();
  Interval free{-y_m_.abs().maxCoeff(), y_m_.abs().maxCoeff()};
  for (Eigen::Index k = 0; k < n; ++k) {
    const Eigen::Index next = (k + 1) % n;
    const double rise = z_m_[next] - z_m_[k];
    const double from = std::max(std::min(z_m_[k], z_m_[next]), band.low_m);
    const double to = std::min(std::max(z_m_[k], z_m_[next]), band.high_m);
    if (from > to || rise == 0) {
      continue;  // a level edge's ends belong to its neighbours, too
    }
    const double slope = (y_m_[next] - y_m_[k]) / rise;
    for (const double bend : {from, to, band.low_m + band.chamfer.up_m, band.high_m - band.chamfer.up_m}) {
      const double z = std::clamp(bend, from, to);
      const double y = y_m_[k] + slope * (z - z_m_[k]);
      if (rise > 0) {
        free.high = std::min(free.high, y + band.drawn_back_m(z));
      } else {
        free.low = std::max(free.low, y - band.drawn_back_m(z));
      }
    }
  }
  return free;
}

}  // namespace flitchwise::solver
