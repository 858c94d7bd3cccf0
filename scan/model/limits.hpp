#pragma once
/// What the numbers of a struct may be: said once, below the description of its fields, for the check in the
/// library and for whoever tells a person about an option.
///
///     FLITCHWISE_FIELDS(Saw, kerf_m, weight_kg)
///     constexpr auto limits_of(const Saw*) {
///       return std::tuple{Limit{&Saw::kerf_m, {0, 0.05}}, Limit{&Saw::weight_kg, {0, 100}}};
///     }

#include <algorithm>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>

#include "scan/model/fields.hpp"
#include "scan/model/units.hpp"

namespace flitchwise {

/// In the field's own unit. Holds its ends, but for `most` if it is open.
struct Range {
  double least = 0;
  double most = 0;
  bool open = false;

  constexpr bool holds(double value) const {  // not a NaN
    return value >= least && (open ? value < most : value <= most);
  }
};

/// The range of a number, or of each number of a list or an optional.
template <typename Struct, typename Member>
struct Limit {
  Member Struct::*member;
  Range range;
};

/// The unit in which people give a field, known by the end of the field's name: millimetres for `_m`.
struct PersonUnit {
  double a_field_unit = 1;    ///< how many of it go into one of the field's unit...
  double in_field_units = 1;  ///< ... or how long one of it is: whichever is exact, the other 1
  std::string_view text = "";

  constexpr double to_field(double value) const { return value / a_field_unit * in_field_units; }
  constexpr double from_field(double value) const { return value * a_field_unit / in_field_units; }
};
constexpr PersonUnit person_unit(std::string_view field) {
  if (field.ends_with("_m")) {
    return {kMmAMetre, 1, " mm"};
  }
  if (field.ends_with("_rad")) {
    return {1, kRadADegree, " degrees"};
  }
  const std::string_view unit = field.substr(std::min(field.rfind('_'), field.size()));
  return {1, 1, unit == "_s" ? " s" : unit == "_mib" ? " MiB" : unit == "_percent" ? " %" : ""};
}

/// "wane share" for wane_share, "thickness" for thickness_m.
std::string person_name(std::string_view field);

/// Throws BadUse "--kerf is 60 mm, but must lie between 0 and 50 mm"; a NaN is never within. `value` is in
/// the field's unit.
void require_within(const Range& range, double value, const std::string& name, const PersonUnit& unit = {});

/// Calls visit(number) for what a member holds: a number, none or one, or several.
template <typename Member, typename Visit>
void for_each_number(const Member& member, Visit&& visit) {
  if constexpr (std::is_arithmetic_v<Member>) {
    visit(static_cast<double>(member));
  } else if constexpr (requires { member.has_value(); }) {
    member ? visit(static_cast<double>(*member)) : void();
  } else {
    for (const auto& each : member) {
      visit(static_cast<double>(each));
    }
  }
}

/// The range of one field: range_of<&Saw::kerf_m>(). For a field without one it does not compile.
template <auto Pointer>
consteval Range range_of() {
  using Struct = typename PointedTo<decltype(Pointer)>::In;
  Range range;
  bool known = false;
  const auto look = [&](const auto& limit) {
    if constexpr (std::is_same_v<std::remove_cv_t<decltype(Pointer)>,
                                 std::remove_cv_t<decltype(limit.member)>>) {
      if (limit.member == Pointer) {
        range = limit.range;
        known = true;
      }
    }
  };
  std::apply([&](const auto&... limit) { (look(limit), ...); },
             limits_of(static_cast<const Struct*>(nullptr)));
  return known ? range : throw "this field has no range";
}

/// Throws BadUse that names the first field out of its range, its value and the range: as a program calls
/// them, or as a person does where it is said whose they are ("the board's ").
template <Described Struct>
void check_limits(const Struct& value, std::string_view whose = {}) {
  const auto check_one = [&](const auto& limit) {
    const std::string_view field = name_of(limit.member);
    for_each_number(value.*limit.member, [&](double number) {
      whose.empty()
          ? require_within(limit.range, number, std::string(field))
          : require_within(limit.range, number, std::string(whose) + person_name(field), person_unit(field));
    });
  };
  std::apply([&](const auto&... limit) { (check_one(limit), ...); }, limits_of(&value));
}

}  // namespace flitchwise
