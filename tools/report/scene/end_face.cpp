#include "tools/report/scene/end_face.hpp"

#include <algorithm>
#include <cmath>

#include "tools/report/quantities.hpp"
#include "tools/report/scene/section.hpp"
#include "tools/report/sheet_words.hpp"

namespace flitchwise::report {
namespace {

constexpr double kAtEnd_m = 0.03;  // boards that begin this near to the end face are drawn as if on it

std::string title_of(bool large_end) {
  return std::string(large_end ? "Large" : "Small") + " end, as you stand before it";
}

/// Builds the scene of one end face.
class EndFace {
 public:
  EndFace(const LogModel& log, double roll_rad, bool large_end)
      : view_{roll_rad, large_end},
        station_(large_end ? log.stations.back() : log.stations.front()),
        bark_(view_.outline(bark_outline_m(station_))),
        box_(box_of(bark_)),
        pith_(view_.at(large_end ? log.pith.large_end_m : log.pith.small_end_m)),
        pith_assumed_(log.pith.source == Pith::Source::assumed_middle) {
    scene_.title = title_of(large_end);
    add_section(scene_, view_, station_);
  }

  Scene bare() {
    add_pith(box_.max().y());
    return scene_;
  }
  Scene with_marks(const Report& report) {
    mark_ = view_.from_large_end ? report.sheet.large_end : report.sheet.small_end;
    add_boards(report.plan.boards);
    add_planes(report);
    add_rail(report.sheet);
    add_left_dimensions(report.units);
    add_right_dimensions(report.units);
    add_half_widths(report.units);
    add_pith(std::max(box_.max().y(), rail()));
    add_cut();
    return scene_;
  }
  Scene rolled(const Report& report) {
    scene_.title = "Small end, after rolling, as you stand before it";
    const Eigen::Vector2d middle = box_.center();
    const double half = box_.sizes().maxCoeff() / 2;
    const Eigen::Vector2d level = half * view_.at({1, 0});
    const Eigen::Vector2d up = half * view_.at({0, 1});
    constexpr double kOver = 1.1;
    add(Role::old_level, {middle - level}, {middle + level});
    add(Role::old_top, {middle}, {middle + kOver * up});
    add(Role::new_top, {middle}, {middle + Eigen::Vector2d(0, kOver * half)});
    const auto outwards = [&](Role role, const Eigen::Vector2d& at, const Eigen::Vector2d& aside,
                              const std::string& words) {
      const bool at_left = at.x() < 0;
      const Align align = at_left ? Align::right : Align::left;
      scene_.labels.push_back(
          {role, {middle + at, {at_left ? -aside.x() : aside.x(), aside.y()}}, align, {words}, -1});
    };
    scene_.labels.push_back(
        {Role::new_top, {middle + Eigen::Vector2d(0, kOver * half), {0, 0.9}}, Align::middle, {"new top"}});
    outwards(Role::old_top, kOver * up, {0.5, 0.3}, "old top");
    outwards(Role::old_level, level.y() < 0 ? level : Eigen::Vector2d(-level), {0.6, -0.8},
             "was level: " + roll_angle(report.sheet) + "\u00B0");
    return scene_;
  }

 private:
  double left() const { return box_.min().x(); }
  double right() const { return box_.max().x(); }
  double cut() const { return pith_.y() + mark_.above_pith_m; }
  double rail() const { return pith_.y() + mark_.bracket_above_pith_m; }
  void add(Role role, const Spot& from, const Spot& to) { scene_.shapes.push_back(line(role, from, to)); }
  void name(const std::string& words, const Spot& at) {
    scene_.labels.push_back({Role::mark_name, at, Align::left, {words}});
  }

  /// At its left edge, or at its right edge where the pith's cross is in the way.
  void add_board_name(const solver::Board& board, const Corners& corners) {
    constexpr double kIndent = 0.4;
    constexpr double kShare = 0.4;  // of the board's width that a name may take
    constexpr double kText = 0.75;  // of the board's thickness
    const Eigen::AlignedBox2d box = box_of(corners);
    const double width = box.sizes().x();
    const bool in_the_way = std::abs(pith_.y() - box.center().y()) < box.sizes().y() &&
                            pith_.x() > box.min().x() - kShare / 2 * width &&
                            pith_.x() < box.min().x() + kShare * width;
    scene_.labels.push_back({Role::board,
                             {{in_the_way ? box.max().x() : box.min().x(), box.center().y()},
                              {in_the_way ? -kIndent : kIndent, 0}},
                             in_the_way ? Align::right : Align::left,
                             {board.id},
                             0,
                             {},
                             kText * (corners[3] - corners[0]).norm()});
  }

  /// The boards nearest to this end.
  void add_boards(const std::vector<solver::Board>& boards) {
    const auto by_window = [](const auto& a, const auto& b) { return a.window < b.window; };
    const auto last = std::max_element(boards.begin(), boards.end(), by_window);
    const std::size_t window = view_.from_large_end && last != boards.end() ? last->window : 0;
    bool any_far = false;
    for (const solver::Board& board : boards) {
      if (board.window != window) {
        continue;
      }
      const bool far = std::all_of(
          board.corners_m.begin(), board.corners_m.end(),
          [&](const Eigen::Vector3d& corner) { return std::abs(corner.x() - station_.x_m) > kAtEnd_m; });
      // Drawn on to this end face: boards of pitched flitches that begin at different places would else seem
      // to overlap.
      const Corners corners = board_section(view_, board, station_.x_m);
      scene_.shapes.push_back(shape(far ? Role::far_board : Role::board, corners, true));
      scene_.shapes.back().board = board.id;
      add_board_name(board, corners);
      any_far = any_far || far;
    }
    if (any_far) {
      scene_.labels.push_back({Role::far_board,
                               {{box_.center().x(), box_.min().y()}, {0, -3.6}},
                               Align::middle,
                               {"dashed boards begin further in"}});
    }
  }
  void add_planes(const Report& report) {
    for (const solver::CutPlane& plane : later_planes(report)) {
      const double z = height_at(report, plane, station_.x_m);
      const Eigen::AlignedBox1d chord = crossing(bark_, z);
      if (!chord.isEmpty()) {
        add(Role::plane, {{chord.min().x(), z}}, {{chord.max().x(), z}});
      }
    }
  }
  void add_rail(const solver::SetupSheet& sheet) {
    const solver::Kit& kit = sheet.kit;
    const double half = std::max(kit.bracket_width_m, kit.rail_width_m) / 2;
    const double middle = view_.across(sheet.rail_y_m);
    if (kit.bracket_height_m > 0) {
      const double bottom = rail() - kit.bracket_height_m;
      scene_.shapes.push_back(shape(Role::bracket,
                                    {{middle - half, rail()},
                                     {middle + half, rail()},
                                     {middle + half, bottom},
                                     {middle - half, bottom}},
                                    true));
    }
    add(Role::rail, {{middle - half, rail()}}, {{middle + half, rail()}});
    name(kit.bracket_height_m > 0 ? "rail, bracket" : "rail", {{middle - half, rail()}, {0.3, 0.7}});
  }
  void add_pith(double highest_m) {
    constexpr double kOver = 1;
    constexpr double kArm = 0.55;
    add(Role::plumb, {{pith_.x(), highest_m}, {0, kOver}}, {{pith_.x(), box_.min().y()}, {0, -kOver}});
    add(Role::pith, {pith_, {-kArm, 0}}, {pith_, {kArm, 0}});
    add(Role::pith, {pith_, {0, -kArm}}, {pith_, {0, kArm}});
    name("plumb", {{pith_.x(), box_.max().y()}, {0.3, -1}});
    name(pith_assumed_ ? "middle" : "pith", {pith_, {0.6, 0.8}});
  }
  void add_cut() {
    constexpr double kOver = 1.1;
    add(Role::opening_cut, {{left(), cut()}, {-kOver, 0}}, {{right(), cut()}, {kOver, 0}});
    name("cut line", {{left(), cut()}, {0.3, 0.7}});
  }
  void add_left_dimensions(Units units) {
    constexpr double kOut = 2.2;
    constexpr double kOver = 2.9;
    const double top = cut() + mark_.below_top_m;
    const double bottom = cut() - mark_.above_bottom_m;
    for (const double level : {top, bottom}) {
      add(Role::leader, {{left(), level}, {-kOver, 0}}, {{pith_.x(), level}});
    }
    add(Role::leader, {{left(), cut()}, {-kOver, 0}}, {{left(), cut()}});
    const auto measured = [&](double from, double to, double length_m, const std::string& words) {
      scene_.dimensions.push_back({Role::dimension,
                                   {{left(), from}, {-kOut, 0}},
                                   {{left(), to}, {-kOut, 0}},
                                   {bare_length(units, std::abs(length_m)), words},
                                   Align::left});
    };
    measured(top, cut(), mark_.below_top_m, mark_.below_top_m < 0 ? "above the top" : "down from the top");
    measured(cut(), bottom, mark_.above_bottom_m, "up from the bottom");
    scene_.labels.push_back(
        {Role::opening_cut, {{left(), cut()}, {-kOver - 0.2, 0}}, Align::right, {"opening cut"}, -1});
  }
  void add_right_dimensions(Units units) {
    constexpr double kOut = 2;
    constexpr double kFurther = 0.7;  // the two arrows may lie over each other
    const auto measured = [&](double from, double out, const std::string& figure, const std::string& words) {
      scene_.dimensions.push_back({Role::dimension,
                                   {{right(), from}, {out, 0}},
                                   {{right(), cut()}, {out, 0}},
                                   {figure, words},
                                   Align::right});
    };
    add(Role::leader, {{right(), cut()}}, {{right(), cut()}, {kOut + 2 * kFurther, 0}});
    add(Role::leader, {{pith_.x(), rail()}}, {{right(), rail()}, {kOut + kFurther, 0}});
    add(Role::leader, {pith_}, {{right(), pith_.y()}, {kOut + 2 * kFurther, 0}});
    measured(rail(), kOut, bare_length(units, rail() - cut()), "rail above the cut");
    measured(pith_.y(), kOut + kFurther, bare_length(units, std::abs(mark_.above_pith_m)),
             std::string(mark_.above_pith_m < 0 ? "below " : "above ") +
                 (pith_assumed_ ? "the middle" : "the pith"));
  }
  void add_half_widths(Units units) {
    if (mark_.half_width_left_m + mark_.half_width_right_m <= 0) {
      return;
    }
    constexpr double kDown = 2;
    for (const double left_m : {mark_.half_width_left_m, -mark_.half_width_right_m}) {
      const double at = pith_.x() + view_.across(left_m);
      add(Role::leader, {{at, cut()}}, {{at, box_.min().y()}, {0, -kDown - 0.4}});
      scene_.dimensions.push_back({Role::dimension,
                                   {{pith_.x(), box_.min().y()}, {0, -kDown}},
                                   {{at, box_.min().y()}, {0, -kDown}},
                                   {bare_length(units, std::abs(left_m))}});
    }
  }

  SectionView view_;
  const Station& station_;
  Corners bark_;
  Eigen::AlignedBox2d box_;  ///< of the bark
  Eigen::Vector2d pith_;
  bool pith_assumed_;
  solver::EndMark mark_;
  Scene scene_;
};

}  // namespace

Scene end_face(const LogModel& log, bool large_end) {
  return EndFace(log, 0, large_end).bare();
}

Scene end_face_with_marks(const Report& report, bool large_end) {
  return EndFace(report.log, report.sheet.roll_rad, large_end).with_marks(report);
}

Scene roll_marks(const Report& report) {
  return EndFace(report.log, report.sheet.roll_rad, false).rolled(report);
}

}  // namespace flitchwise::report
