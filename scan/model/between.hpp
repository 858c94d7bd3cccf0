#pragma once
/// Linear interpolation between sections along a log.

#include <algorithm>
#include <iterator>

namespace flitchwise {

/// Two neighbours and how far it is from one to the other, 0 to 1.
template <typename Section>
struct Between {
  const Section& before;
  const Section& after;
  double share;
  double x_m;  ///< asked for, not beyond the first or the last section

  /// One of their values, in proportion.
  template <typename Value>
  Value mixed(Value Section::*value) const {
    return (1 - share) * (before.*value) + share * (after.*value);
  }
  const Section& nearest() const { return share < 0.5 ? before : after; }
};

/// The two of `sections` that x lies between; beyond them at the first or the last one. Requires: two or
/// more, their x_m ascending.
template <typename Sections>
auto between(const Sections& sections, double x_m) {
  const auto after = std::upper_bound(std::next(sections.begin()), std::prev(sections.end()), x_m,
                                      [](double x, const auto& section) { return x < section.x_m; });
  const auto before = std::prev(after);
  const double at_m = std::clamp(x_m, sections.front().x_m, sections.back().x_m);
  const double share = (at_m - before->x_m) / (after->x_m - before->x_m);
  return Between<typename Sections::value_type>{*before, *after, share, at_m};
}

}  // namespace flitchwise
