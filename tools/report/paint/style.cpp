#include "tools/report/paint/style.hpp"

namespace flitchwise::report {
namespace {

constexpr double kThin = 0.8;
constexpr double kMedium = 1.4;
constexpr double kBold = 3.6;

Colour grey(double white) {
  return {white, white, white};
}

Look text(double size, bool bold, bool ground = true) {
  return {.size = size, .bold = bold, .ground = ground};
}

/// Sheet and picture alike.
Style drawn() {
  return {{Role::bark, {.fill = grey(0.82)}},
          {Role::seen_edge, {.weight = kMedium}},
          {Role::unseen_edge, {.weight = kMedium, .dashes = {2, 2}}},
          {Role::wood, {.weight = kThin, .fill = grey(1)}},
          {Role::upper_face, {.weight = kMedium}},
          {Role::lower_face, {.weight = kThin, .dashes = {3, 3}}},
          {Role::board, {.weight = kMedium, .fill = grey(0.88), .size = 1.2, .bold = true, .ground = false}},
          {Role::board_on_edge, {.weight = kMedium, .fill = grey(0.88)}},
          {Role::plane, {.weight = kThin, .dashes = {5, 4}}},
          {Role::opening_cut, {.weight = kBold}},
          {Role::edging, {.weight = kMedium, .dashes = {8, 3}, .size = 1.2, .bold = true}},
          {Role::pith, {.weight = kMedium}},
          {Role::plumb, {.weight = kThin, .dashes = {9, 3, 2, 3}}},
          {Role::bracket, {.weight = kThin, .fill = grey(1)}},
          {Role::rail, {.weight = 2, .fill = grey(1)}},
          {Role::screw, {.weight = 2 * kMedium}},
          {Role::packer, {.weight = 2 * kMedium}},
          {Role::relieve, {.weight = 2 * kMedium}},
          {Role::no_bearing, {.weight = 2 * kMedium}},
          {Role::high_spot, {.weight = kThin, .fill = grey(0)}},
          {Role::old_level, {.weight = kMedium, .dashes = {8, 4}, .size = 1.2, .bold = true}},
          {Role::old_top, {.weight = kThin, .dashes = {2, 3}, .size = 1.2}},
          {Role::new_top, {.weight = kBold, .size = 1.2, .bold = true}},
          {Role::leader, {.weight = kThin, .dashes = {2, 3}}},
          {Role::dimension, {.weight = kThin, .size = 1.4, .bold = true}},
          {Role::length, {.weight = kThin, .size = 1.1}},
          {Role::support, text(1.25, true)}};
}

}  // namespace

const Style& sheet_style() {
  static const Style style = drawn();
  return style;
}

const Style& sheet_end_style() {
  static const Style style = [] {
    Style made = drawn();
    made.erase(Role::board);
    return made;
  }();
  return style;
}

const Style& picture_style() {
  static const Style style = [] {
    // Okabe and Ito's palette (2008) for the marks; blue for what is cut.
    constexpr Colour kBlue{0, 0.35, 0.55};
    constexpr Colour kOrange{0.9, 0.62, 0};
    constexpr Colour kVermilion{0.84, 0.37, 0};
    Style made = drawn();
    made[Role::bark].fill = Colour{0.72, 0.6, 0.47};
    made[Role::wood].fill = Colour{0.98, 0.93, 0.8};
    made[Role::board].fill = Colour{0.72, 0.84, 0.91};
    made[Role::far_board] = {.weight = kMedium, .dashes = {4, 2}, .size = 0.9};
    made[Role::plane].ink = kBlue;
    made[Role::opening_cut] = {.weight = kBold, .ink = kBlue, .size = 1, .bold = true};
    made[Role::screw].ink = kBlue;
    made[Role::packer].ink = kOrange;
    made[Role::relieve].ink = kVermilion;
    made[Role::high_spot].fill = kVermilion;
    made.erase(Role::support);
    made[Role::support_note] = text(0.9, true);
    return made;
  }();
  return style;
}

const Style& template_style() {
  static const Style style = {{Role::bark, {.weight = kThin}},
                              {Role::wood, {.weight = 0.6, .dashes = {9, 6}}},
                              {Role::plane, {.weight = 0.45, .dashes = {17, 11}}},
                              {Role::opening_cut, {.weight = 1.7}},
                              {Role::rail, {.weight = 1.7}},
                              {Role::bracket, {.weight = kThin}},
                              {Role::plumb, {.weight = 0.6, .dashes = {23, 6, 3, 6}}},
                              {Role::pith, {.weight = kThin}},
                              {Role::mark_name, text(1, false, false)}};
  return style;
}

}  // namespace flitchwise::report
