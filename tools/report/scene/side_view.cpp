#include "tools/report/scene/side_view.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "tools/report/quantities.hpp"
#include "tools/report/scene/section.hpp"
#include "tools/report/setup_words.hpp"

namespace flitchwise::report {
namespace {

constexpr double kRailHeight = 0.5;  // of the rail as it is drawn, in heights of the text

/// In the order of solver::ScrewPoint::Status.
constexpr std::array<Role, 4> kScrews = {Role::screw, Role::packer, Role::relieve, Role::no_bearing};

/// Builds the scene for one position of the rail.
class SideView {
 public:
  SideView(const Report& report, std::size_t position) : report_(report), position_(position) {}
  Scene made(double heights) {
    scene_.title = "From the right side, small end at the left";
    if (heights != 1) {
      scene_.title += "; heights " + fixed(heights, 0) + "-fold";
    }
    scene_.heights = heights;
    add_log();
    for (const solver::CutPlane& plane : later_planes(report_)) {
      add_cut(Role::plane, plane);
    }
    add_cut(Role::opening_cut, solver::opening_cut_plane(report_.plan, report_.sheet));
    if (has_rail()) {
      add_rail(report_.sheet.rail_positions[position_]);
      for (const solver::Support& support : report_.sheet.supports) {
        if (support.rail_position == static_cast<int>(position_) + 1) {
          add_support(support);
        }
      }
      add_high_spots(report_.sheet.rail_positions[position_]);
    }
    add_lengths();
    return scene_;
  }

 private:
  double rail_m(double x_m) const {
    return height_at(report_, solver::opening_cut_plane(report_.plan, report_.sheet), x_m) +
           report_.sheet.rail_height_m;
  }
  bool has_rail() const { return position_ < report_.sheet.rail_positions.size(); }
  std::string words(double length_m) const { return bare_length(report_.units, length_m); }
  void add(Role role, const Spot& from, const Spot& to) { scene_.shapes.push_back(line(role, from, to)); }
  void add_log() {
    const SectionView view{report_.sheet.roll_rad, false};
    Corners upper;
    Corners lower;
    for (const Station& station : report_.log.stations) {
      const Eigen::AlignedBox2d box = box_of(view.outline(bark_outline_m(station)));
      upper.emplace_back(station.x_m, box.max().y());
      lower.emplace_back(station.x_m, box.min().y());
    }
    lowest_m_ = box_of(lower).min().y();
    upper.insert(upper.end(), lower.rbegin(), lower.rend());
    scene_.shapes.push_back(shape(Role::bark, upper, true));
    upper.push_back(upper.front());
    scene_.shapes.push_back(shape(Role::seen_edge, upper, false));
  }
  void add_cut(Role role, const solver::CutPlane& plane) {
    const double end_m = report_.log.usable_length_m();
    add(role, {{0, height_at(report_, plane, 0)}}, {{end_m, height_at(report_, plane, end_m)}});
  }
  void add_rail(const solver::RailPosition& rail) {
    const Eigen::Vector2d from(rail.start_x_m, rail_m(rail.start_x_m));
    const Eigen::Vector2d to(rail.end_x_m, rail_m(rail.end_x_m));
    scene_.shapes.push_back(
        {Role::rail, {{from}, {to}, {to, {0, kRailHeight}}, {from, {0, kRailHeight}}}, true});
  }
  void add_support(const solver::Support& support) {
    const Eigen::Vector2d under_rail(support.x_m, rail_m(support.x_m));
    const std::string number = std::to_string(support.support);
    std::string gaps;
    for (const solver::ScrewPoint* screw : {&support.left, &support.right}) {
      const bool bears = std::isfinite(screw->gap_m);
      if (bears) {
        add(kScrews.at(static_cast<std::size_t>(screw->status)), {under_rail},
            {under_rail - Eigen::Vector2d(0, screw->gap_m)});
      }
      gaps += (gaps.empty() ? "left " : ", right ") + (bears ? words(screw->gap_m) : "-");
    }
    constexpr double kNumber = kRailHeight + 0.9;
    constexpr double kNote = kRailHeight + 3;
    scene_.labels.push_back({Role::support, {under_rail, {0, kNumber}}, Align::middle, {number}, 1});
    scene_.labels.push_back(
        {Role::support_note,
         {under_rail, {0, kNote}},
         Align::middle,
         {status_words(support, report_.units), "support " + number + " at " + words(support.x_m), gaps},
         1,
         {{under_rail, {0, kRailHeight}}}});
  }
  void add_high_spots(const solver::RailPosition& rail) {
    constexpr double kHalf = 0.45;
    for (const solver::HighSpot& spot : report_.sheet.high_spots) {
      if (spot.x_m >= rail.start_x_m && spot.x_m <= rail.end_x_m) {
        const Eigen::Vector2d tip(spot.x_m, rail_m(spot.x_m));
        scene_.shapes.push_back(
            {Role::high_spot, {{tip}, {tip, {-kHalf, -2 * kHalf}}, {tip, {kHalf, -2 * kHalf}}}, true});
      }
    }
  }
  void add_lengths() {
    double down = 1.4;
    const auto span = [&](double from_m, double to_m, const std::string& words) {
      scene_.dimensions.push_back(
          {Role::length, {{from_m, lowest_m_}, {0, -down}}, {{to_m, lowest_m_}, {0, -down}}, {words}});
      down += 1.7;
    };
    if (has_rail()) {
      const solver::RailPosition& rail = report_.sheet.rail_positions[position_];
      span(rail.start_x_m, rail.end_x_m,
           "rail: " + words(rail.start_x_m) + " to " + words(rail.end_x_m) + ' ' + unit_name(report_.units));
    }
    const double length_m = report_.log.usable_length_m();
    span(0, length_m, "log with whole sections: " + length_text(report_.units, length_m));
  }

  const Report& report_;
  std::size_t position_;
  double lowest_m_ = 0;
  Scene scene_;
};

}  // namespace

Scene side_view(const Report& report, std::size_t position, double heights) {
  return SideView(report, position).made(heights);
}

}  // namespace flitchwise::report
