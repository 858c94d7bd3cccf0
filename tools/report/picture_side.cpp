#include <algorithm>
#include <cmath>

#include "tools/report/picture.hpp"
#include "tools/report/setup_words.hpp"

namespace flitchwise::report {
namespace {

constexpr double kTitleRoom = 30;
constexpr double kLineStep = 15;
constexpr double kLabelHeight = 3 * kLineStep + 9;
constexpr double kLabelGap = 14;  // between labels of one row
constexpr double kRailHeight = 7;
constexpr double kAboveRail = 20;  // from the rail up to the lowest label
constexpr double kUnderLog = 14;
constexpr double kDimensionStep = 24;
constexpr double kBarkGrey = 0.9;

struct Label {
  double anchor = 0;  ///< x of its support on the paper
  std::vector<std::string> lines;
  double left = 0;
  double width = 0;
  std::size_t row = 0;  ///< 0 is nearest to the rail
};

/// The log with one position of the rail, from its right side: x to the right, bench-frame z up, the same
/// scale for both.
class SideView {
 public:
  SideView(Pen& pen, const Report& report, std::size_t position, double left, double width)
      : pen_(pen), report_(report), position_(position), left_(left), width_(width) {
    measure();
    place_labels();
  }

  double height() const {
    return kTitleRoom + label_room() + log_height() + kUnderLog +
           kDimensionStep * (report_.sheet.rail_positions.empty() ? 1 : 2);
  }
  void draw(double top);

 private:
  double x(double x_m) const { return left_ + (x_m - least_x_m_) * scale_; }
  double y(double z_m) const { return top_of_log_ + (most_z_m_ - z_m) * scale_; }
  double log_height() const { return (most_z_m_ - least_z_m_) * scale_ + kRailHeight; }
  double label_room() const { return kAboveRail + static_cast<double>(rows_) * kLabelHeight; }
  double usable_m() const { return report_.log.usable_length_m(); }
  double rail_z(double x_m) const {
    return height_at(report_, solver::opening_cut_plane(report_.plan, report_.sheet), x_m) +
           report_.sheet.rail_height_m;
  }
  bool is_here(const solver::Support& support) const {
    return support.rail_position == static_cast<int>(position_) + 1;
  }
  std::string title() const;
  void measure();
  void place_labels();
  void draw_log();
  void draw_planes();
  void draw_rail();
  void draw_labels();
  void draw_dimensions();

  Pen& pen_;
  const Report& report_;
  std::size_t position_;
  double left_;
  double width_;
  double scale_ = 1;
  double least_x_m_ = 0, least_z_m_ = 0, most_z_m_ = 0;
  double top_of_log_ = 0;
  std::vector<Eigen::Vector3d> upper_m_, lower_m_;  ///< highest and lowest bark of every station, bench frame
  std::vector<Label> labels_;
  std::size_t rows_ = 0;
};

void SideView::measure() {
  least_x_m_ = 0;
  double most_x_m = usable_m();
  for (const solver::RailPosition& position : report_.sheet.rail_positions) {
    least_x_m_ = std::min(least_x_m_, position.start_x_m);
    most_x_m = std::max(most_x_m, position.end_x_m);
  }
  scale_ = width_ / (most_x_m - least_x_m_);
  most_z_m_ = std::max(rail_z(least_x_m_), rail_z(most_x_m));
  least_z_m_ = most_z_m_;
  const auto lower = [](const Eigen::Vector3d& a, const Eigen::Vector3d& b) { return a.z() < b.z(); };
  for (const Station& station : report_.log.stations) {
    std::vector<Eigen::Vector3d> bark;
    const Eigen::MatrixX2d outline_m = bark_outline_m(station);
    for (const auto& row : outline_m.rowwise()) {
      bark.push_back(to_bench(report_, {station.x_m, row.x(), row.y()}));
    }
    upper_m_.push_back(*std::max_element(bark.begin(), bark.end(), lower));
    lower_m_.push_back(*std::min_element(bark.begin(), bark.end(), lower));
    most_z_m_ = std::max(most_z_m_, upper_m_.back().z());
    least_z_m_ = std::min(least_z_m_, lower_m_.back().z());
  }
}

std::string SideView::title() const {
  const std::size_t positions = report_.sheet.rail_positions.size();
  const std::string which =
      positions > 1 ? "Rail position " + std::to_string(position_ + 1) + " of " + std::to_string(positions)
                    : "Rail";
  return which +
         " and supports, from the right side, small end at the left; gaps from the rail's underside to the "
         "bark";
}

std::string gap_text(const solver::ScrewPoint& screw) {
  const std::string gap = mm(screw.gap_m);
  return gap.empty() ? "-" : gap;
}

void SideView::place_labels() {
  for (const solver::Support& support : report_.sheet.supports) {
    if (!is_here(support)) {
      continue;
    }
    Label label;
    label.anchor = x(support.x_m);
    label.lines = {"support " + std::to_string(support.support) + " at " + mm(support.x_m),
                   "left " + gap_text(support.left) + ", right " + gap_text(support.right),
                   status_words(support, Units::millimetres)};
    for (const std::string& line : label.lines) {
      const bool bold = &line == &label.lines.back();
      label.width = std::max(label.width, pen_.text_width(line, Pen::kSmallText, bold));
    }
    label.left = std::clamp(label.anchor - label.width / 2, left_, left_ + width_ - label.width);
    labels_.push_back(label);
  }
  std::stable_sort(labels_.begin(), labels_.end(),
                   [](const Label& a, const Label& b) { return a.anchor < b.anchor; });
  std::vector<double> row_ends;
  for (Label& label : labels_) {
    while (label.row < row_ends.size() && row_ends[label.row] + kLabelGap > label.left) {
      ++label.row;
    }
    row_ends.resize(std::max(row_ends.size(), label.row + 1));
    row_ends[label.row] = label.left + label.width;
  }
  rows_ = row_ends.size();
}

void SideView::draw_log() {
  std::vector<Eigen::Vector2d> silhouette;
  for (const Eigen::Vector3d& point : upper_m_) {
    silhouette.emplace_back(x(point.x()), y(point.z()));
  }
  std::for_each(lower_m_.rbegin(), lower_m_.rend(),
                [&](const Eigen::Vector3d& point) { silhouette.emplace_back(x(point.x()), y(point.z())); });
  pen_.outline(silhouette, Pen::kMedium, kBarkGrey);
}

void SideView::draw_planes() {
  const auto draw = [&](const solver::CutPlane& plane, double weight, const std::vector<double>& dashes) {
    pen_.line({x(0), y(height_at(report_, plane, 0))},
              {x(usable_m()), y(height_at(report_, plane, usable_m()))}, weight, dashes);
  };
  for (const solver::CutPlane& plane : later_planes(report_)) {
    draw(plane, Pen::kThin, {6, 3});
  }
  draw(solver::opening_cut_plane(report_.plan, report_.sheet), Pen::kBold, {});
}

void SideView::draw_rail() {
  if (position_ < report_.sheet.rail_positions.size()) {
    const solver::RailPosition& position = report_.sheet.rail_positions[position_];
    const Eigen::Vector2d from(x(position.start_x_m), y(rail_z(position.start_x_m)));
    const Eigen::Vector2d to(x(position.end_x_m), y(rail_z(position.end_x_m)));
    const Eigen::Vector2d up(0, -kRailHeight);
    pen_.outline({from, to, to + up, from + up}, Pen::kMedium, 1);
  }
  for (const solver::Support& support : report_.sheet.supports) {
    for (const solver::ScrewPoint* screw : {&support.left, &support.right}) {
      if (is_here(support) && std::isfinite(screw->gap_m)) {
        const double z = rail_z(support.x_m);
        pen_.line({x(support.x_m), y(z)}, {x(support.x_m), y(z - screw->gap_m)}, 2 * Pen::kMedium);
      }
    }
  }
}

void SideView::draw_labels() {
  // All leaders before all texts, so that no line runs through a word.
  const double lowest = top_of_log_ - kAboveRail;
  const auto bottom_of = [&](const Label& label) {
    return lowest - static_cast<double>(label.row) * kLabelHeight;
  };
  for (const Label& label : labels_) {
    const double on = std::clamp(label.anchor, label.left, label.left + label.width);
    const double rail = y(rail_z(least_x_m_ + (label.anchor - left_) / scale_)) - kRailHeight;
    pen_.line({label.anchor, rail}, {on, bottom_of(label) + 3}, Pen::kThin, {2, 2});
  }
  for (const Label& label : labels_) {
    for (std::size_t i = 0; i < label.lines.size(); ++i) {
      const double from_bottom = static_cast<double>(label.lines.size() - 1 - i) * kLineStep;
      pen_.text(label.lines[i], {label.left, bottom_of(label) - 2 - from_bottom}, Pen::kSmallText,
                Align::left, i + 1 == label.lines.size());
    }
  }
}

void SideView::draw_dimensions() {
  double level = top_of_log_ + log_height() + kUnderLog;
  const auto span = [&](double from_m, double to_m, const std::string& words) {
    pen_.dimension({x(from_m), level}, {x(to_m), level});
    pen_.text(words, {(x(from_m) + x(to_m)) / 2, level + 4}, Pen::kSmallText, Align::middle);
    level += kDimensionStep;
  };
  if (position_ < report_.sheet.rail_positions.size()) {
    const solver::RailPosition& position = report_.sheet.rail_positions[position_];
    span(position.start_x_m, position.end_x_m,
         "rail: " + mm(position.start_x_m) + " to " + mm(position.end_x_m));
  }
  span(0, usable_m(), "log with whole sections: " + mm(usable_m()));
}

void SideView::draw(double top) {
  constexpr double kBaseLine = 16;
  top_of_log_ = top + kTitleRoom + label_room() + kRailHeight;
  draw_log();
  draw_planes();
  draw_rail();
  draw_labels();
  draw_dimensions();
  pen_.text(title(), {left_, top + kBaseLine}, Pen::kText, Align::left, true);
}

constexpr double kBetweenViews = 26;

std::size_t view_count(const Report& report) {
  return std::max<std::size_t>(report.sheet.rail_positions.size(), 1);
}

}  // namespace

void draw_side(Pen& pen, const Report& report, const Rectangle& field) {
  double top = field.top;
  for (std::size_t position = 0; position < view_count(report); ++position) {
    SideView view(pen, report, position, field.left, field.width);
    view.draw(top);
    top += view.height() + kBetweenViews;
  }
}

double side_height(Pen& pen, const Report& report, double width) {
  double height = 0;
  for (std::size_t position = 0; position < view_count(report); ++position) {
    height += SideView(pen, report, position, 0, width).height() + kBetweenViews;
  }
  return height;
}

}  // namespace flitchwise::report
