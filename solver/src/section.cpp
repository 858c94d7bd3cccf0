#include "section.hpp"

#include <algorithm>
#include <cmath>

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
  const auto above = std::upper_bound(solid.stations.begin(), solid.stations.end(), x_m,
                                      [](double x, const Section& s) { return x < s.x_m; });
  if (above == solid.stations.begin()) {
    return solid.stations.front();
  }
  if (above == solid.stations.end()) {
    return solid.stations.back();
  }
  const Section& a = *(above - 1);
  const Section& b = *above;
  const double u = (x_m - a.x_m) / (b.x_m - a.x_m);
  Section section;
  section.x_m = x_m;
  section.centre_m = (1 - u) * a.centre_m + u * b.centre_m;
  section.radius_m = (1 - u) * a.radius_m + u * b.radius_m;
  section.y_m = (1 - u) * a.y_m + u * b.y_m;
  section.z_m = (1 - u) * a.z_m + u * b.z_m;
  return section;
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

template <typename Pick>
double RolledSection::Flank::extreme(double z_low_m, double z_high_m, Pick pick) const {
  const auto y_at = [&](std::size_t next, double z) {
    const std::size_t i = std::clamp<std::size_t>(next, 1, z_m.size() - 1);
    return y_m[i - 1] + (y_m[i] - y_m[i - 1]) * (z - z_m[i - 1]) / (z_m[i] - z_m[i - 1]);
  };
  const auto first = std::upper_bound(z_m.begin(), z_m.end(), z_low_m);
  auto next = static_cast<std::size_t>(first - z_m.begin());
  double found = y_at(next, z_low_m);
  for (; next < z_m.size() && z_m[next] < z_high_m; ++next) {
    found = pick(found, y_m[next]);
  }
  return pick(found, y_at(next, z_high_m));
}

Interval RolledSection::free_over(double z_low_m, double z_high_m) const {
  if (z_low_m < bottom_m_ || z_high_m > top_m_) {
    return {};
  }
  if (!flanks_rise_) {
    return free_over_any(z_low_m, z_high_m);
  }
  const auto lower = [](double a, double b) { return std::min(a, b); };
  const auto higher = [](double a, double b) { return std::max(a, b); };
  return {right_.extreme(z_low_m, z_high_m, higher), left_.extreme(z_low_m, z_high_m, lower)};
}

Interval RolledSection::free_over_any(double z_low_m, double z_high_m) const {
  // Going round with the angle, wood lies at lower y than a rising edge and at higher y than a falling one.
  // If every part of a falling edge in the layer lies at y <= low and every part of a rising one at y >=
  // high, no edge enters the rectangle between them and it has a falling edge beside it: it is all wood.
  const Eigen::Index n = y_m_.size();
  Interval free{-y_m_.abs().maxCoeff(), y_m_.abs().maxCoeff()};
  for (Eigen::Index k = 0; k < n; ++k) {
    const Eigen::Index next = (k + 1) % n;
    const double rise = z_m_[next] - z_m_[k];
    const double from = std::max(std::min(z_m_[k], z_m_[next]), z_low_m);
    const double to = std::min(std::max(z_m_[k], z_m_[next]), z_high_m);
    if (from > to || rise == 0) {
      continue;  // a level edge's ends belong to its neighbours, too
    }
    const double slope = (y_m_[next] - y_m_[k]) / rise;
    const double y_from = y_m_[k] + slope * (from - z_m_[k]);
    const double y_to = y_m_[k] + slope * (to - z_m_[k]);
    if (rise > 0) {
      free.high = std::min({free.high, y_from, y_to});
    } else {
      free.low = std::max({free.low, y_from, y_to});
    }
  }
  return free;
}

}  // namespace flitchwise::solver
