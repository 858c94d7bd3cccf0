#include <algorithm>
#include <cmath>
#include <limits>

#include "tools/report/sheet.hpp"

namespace flitchwise::report {
namespace {

constexpr double kHeights = 2;      // drawn this much larger than lengths
constexpr double kNumberRoom = 24;  // above the rail, for the supports' numbers
constexpr double kUnderRoom = 50;   // below the log, for the lengths
constexpr double kBarkGrey = 0.85;
constexpr double kRailThick = 6;

/// The log with the rail in one position: x to the right, heights up and enlarged.
class RailSide {
 public:
  RailSide(Pen& pen, const Report& report, std::size_t position, double width)
      : pen_(pen),
        report_(report),
        position_(report.sheet.rail_positions[position]),
        number_(static_cast<int>(position) + 1) {
    for (const solver::RailPosition& any : report.sheet.rail_positions) {
      from_m_ = std::min(from_m_, any.start_x_m);
      to_m_ = std::max(to_m_, any.end_x_m);
    }
    scale_ = width / (to_m_ - from_m_);
    for (const Station& station : report.log.stations) {
      double top = -std::numeric_limits<double>::infinity();
      double bottom = -top;
      const Eigen::MatrixX2d outline = bark_outline_m(station);
      for (const auto& row : outline.rowwise()) {
        const double z = to_bench(report, {station.x_m, row.x(), row.y()}).z();
        top = std::max(top, z);
        bottom = std::min(bottom, z);
      }
      top_m_.push_back(top);
      bottom_m_.push_back(bottom);
    }
    high_m_ = std::max({*std::max_element(top_m_.begin(), top_m_.end()), rail_m(from_m_), rail_m(to_m_)});
    low_m_ = *std::min_element(bottom_m_.begin(), bottom_m_.end());
  }

  double height() const { return kNumberRoom + (high_m_ - low_m_) * scale_ * kHeights + kUnderRoom; }

  void draw(const Rectangle& field) {
    field_ = field;
    draw_log();
    draw_rail();
    draw_supports();
    draw_lengths();
  }

 private:
  double rail_m(double x_m) const {
    return height_at(report_, solver::opening_cut_plane(report_.plan, report_.sheet), x_m) +
           report_.sheet.rail_height_m;
  }
  double x(double x_m) const { return field_.left + (x_m - from_m_) * scale_; }
  double y(double z_m) const { return field_.top + kNumberRoom + (high_m_ - z_m) * scale_ * kHeights; }

  void draw_log() {
    std::vector<Eigen::Vector2d> silhouette;
    const auto& stations = report_.log.stations;
    for (std::size_t i = 0; i < stations.size(); ++i) {
      silhouette.emplace_back(x(stations[i].x_m), y(top_m_[i]));
    }
    for (std::size_t i = stations.size(); i-- > 0;) {
      silhouette.emplace_back(x(stations[i].x_m), y(bottom_m_[i]));
    }
    pen_.outline(silhouette, Pen::kMedium, kBarkGrey);
    const double end_m = report_.log.usable_length_m();
    const auto draw = [&](const solver::CutPlane& plane, double weight, const std::vector<double>& dashes) {
      pen_.line({x(0), y(height_at(report_, plane, 0))}, {x(end_m), y(height_at(report_, plane, end_m))},
                weight, dashes);
    };
    for (const solver::CutPlane& plane : later_planes(report_)) {
      draw(plane, Pen::kThin, {5, 4});
    }
    draw(solver::opening_cut_plane(report_.plan, report_.sheet), Pen::kBold, {});
  }

  void draw_rail() {
    const Eigen::Vector2d from(x(position_.start_x_m), y(rail_m(position_.start_x_m)));
    const Eigen::Vector2d to(x(position_.end_x_m), y(rail_m(position_.end_x_m)));
    const Eigen::Vector2d up(0, -kRailThick);
    pen_.outline({from, to, to + up, from + up}, Pen::kMedium, 1);
  }

  void draw_supports() {
    constexpr double kText = 14;
    constexpr double kRadius = 9;
    for (const solver::Support& support : report_.sheet.supports) {
      if (support.rail_position != number_) {
        continue;
      }
      const double at = x(support.x_m);
      const double rail = y(rail_m(support.x_m));
      for (const solver::ScrewPoint* screw : {&support.left, &support.right}) {
        if (std::isfinite(screw->gap_m)) {
          pen_.line({at, rail}, {at, y(rail_m(support.x_m) - screw->gap_m)}, 2 * Pen::kMedium);
        }
      }
      pen_.text(std::to_string(support.support), {at, rail - kRadius - 4}, kText, Align::middle, true);
    }
    for (const solver::HighSpot& spot : report_.sheet.high_spots) {
      if (spot.x_m >= position_.start_x_m && spot.x_m <= position_.end_x_m) {
        constexpr double kHalf = 5;
        const Eigen::Vector2d tip(x(spot.x_m), y(rail_m(spot.x_m)));
        pen_.outline({tip, tip + Eigen::Vector2d(-kHalf, 2 * kHalf), tip + Eigen::Vector2d(kHalf, 2 * kHalf)},
                     Pen::kThin, 0);
      }
    }
  }

  void draw_lengths() {
    constexpr double kText = 12;
    double level = y(low_m_) + 16;
    const auto span = [&](double from_m, double to_m, const std::string& words) {
      pen_.dimension({x(from_m), level}, {x(to_m), level});
      pen_.text(words, {(x(from_m) + x(to_m)) / 2, level + 4}, kText, Align::middle);
      level += 20;
    };
    const auto place = [&](double x_m) { return bare_length(report_.units, x_m); };
    span(position_.start_x_m, position_.end_x_m,
         "rail: " + place(position_.start_x_m) + " to " + place(position_.end_x_m) + ' ' +
             unit_name(report_.units));
    span(0, report_.log.usable_length_m(),
         "log: " + length_text(report_.units, report_.log.usable_length_m()) + ", small end at the left");
  }

  Pen& pen_;
  const Report& report_;
  const solver::RailPosition& position_;
  int number_;
  Rectangle field_;
  double from_m_ = 0, to_m_ = 0, high_m_ = 0, low_m_ = 0, scale_ = 1;
  std::vector<double> top_m_, bottom_m_;
};

}  // namespace

void draw_rail_side(Pages& pages, const Report& report, std::size_t position) {
  if (position >= report.sheet.rail_positions.size()) {
    return;
  }
  RailSide side(pages.pen(), report, position, pages.width());
  side.draw(pages.field(side.height()));
}

}  // namespace flitchwise::report
