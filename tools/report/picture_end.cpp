#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "tools/report/picture.hpp"
#include "tools/report/quantities.hpp"

namespace flitchwise::report {
namespace {

using Corners = std::vector<Eigen::Vector2d>;

constexpr double kBarkGrey = 0.72;
constexpr double kWoodGrey = 1.0;
constexpr double kBoardGrey = 0.9;
constexpr double kLeftRoom = 118;   // for the dimension from the pith
constexpr double kRightRoom = 140;  // for the dimension from the top, and the name of the cut
constexpr double kAtEndM = 0.03;    // boards that begin this near to the end face are drawn as if on it
constexpr double kTitleRoom = 44;
constexpr double kOut = 26;       // of the dimension lines, from the outline
constexpr double kRailRoom = 24;  // above the rail's underside, for its label
constexpr double kTextGap = 8;    // between a dimension line and its text

/// One end face in the bench frame, and where it comes to lie on the paper.
class EndView {
 public:
  EndView(const Report& report, bool large_end, const Rectangle& field)
      : report_(report),
        large_end_(large_end),
        field_(field),
        station_(large_end ? report.log.stations.back() : report.log.stations.front()),
        mark_(large_end ? report.sheet.large_end : report.sheet.small_end),
        bark_(outline(bark_outline_m(station_))),
        wood_(outline(planning_outline_m(station_, 0))) {
    const Eigen::Vector2d pith = large_end ? report.log.pith.large_end_m : report.log.pith.small_end_m;
    pith_ = to_bench(report, {station_.x_m, pith.x(), pith.y()}).tail<2>();
    for (const Eigen::Vector2d& corner : bark_) {
      least_ = least_.cwiseMin(corner);
      most_ = most_.cwiseMax(corner);
    }
  }

  /// Paper units a metre at which this end fills its field.
  double most_scale() const;
  void set_scale(double scale);
  void draw(Pen& pen) const;

 private:
  Corners outline(const Eigen::MatrixX2d& in_log_m) const {
    Corners corners;
    for (const auto& row : in_log_m.rowwise()) {
      corners.emplace_back(to_bench(report_, {station_.x_m, row.x(), row.y()}).tail<2>());
    }
    return corners;
  }
  /// The highest and the lowest place that is drawn.
  double top_m() const { return std::max(most_.y(), rail_z_m()); }
  double bottom_m() const { return std::min(least_.y(), opening_z_m()); }
  double drawing_height() const { return field_.height - kTitleRoom - kRailRoom; }
  /// Someone before the small end has the log's left at the left hand, before the large end at the right.
  Eigen::Vector2d paper(double y_m, double z_m) const {
    const double side = large_end_ ? 1 : -1;
    return {centre_.x() + side * (y_m - middle_.x()) * scale_, centre_.y() - (z_m - middle_.y()) * scale_};
  }
  Corners paper(const Corners& corners) const {
    Corners out;
    for (const Eigen::Vector2d& corner : corners) {
      out.push_back(paper(corner.x(), corner.y()));
    }
    return out;
  }
  double rail_z_m() const { return pith_.y() + mark_.bracket_above_pith_m; }
  double opening_z_m() const { return height_at(report_, opening_plane(), station_.x_m); }
  solver::CutPlane opening_plane() const { return solver::opening_cut_plane(report_.plan, report_.sheet); }
  const solver::Support* nearest_support() const;

  /// The boards nearest to this end.
  std::vector<const solver::Board*> boards_here() const;
  bool reaches(const solver::Board& board) const;  ///< this end, as good as
  void draw_board(Pen& pen, const solver::Board& board) const;
  void draw_planes(Pen& pen) const;
  void draw_pith_level(Pen& pen) const;  ///< before the boards, which hide it
  void draw_pith(Pen& pen) const;
  void draw_rail(Pen& pen) const;
  void draw_heights(Pen& pen) const;

  const Report& report_;
  bool large_end_;
  Rectangle field_;
  const Station& station_;
  const solver::EndMark& mark_;
  Corners bark_;
  Corners wood_;
  Eigen::Vector2d pith_ = Eigen::Vector2d::Zero();
  Eigen::Vector2d middle_ = Eigen::Vector2d::Zero();  ///< bench y and z in the middle of the field
  Eigen::Vector2d centre_ = Eigen::Vector2d::Zero();  ///< of the field on the paper
  Eigen::Vector2d least_ = bark_.front();             ///< of the bark
  Eigen::Vector2d most_ = bark_.front();
  double scale_ = 1;  ///< paper units a metre
};

double EndView::most_scale() const {
  return std::min((field_.width - kLeftRoom - kRightRoom) / (most_.x() - least_.x()),
                  drawing_height() / (top_m() - bottom_m()));
}

void EndView::set_scale(double scale) {
  scale_ = scale;
  middle_ = {(least_.x() + most_.x()) / 2, (top_m() + bottom_m()) / 2};
  centre_ = {field_.left + kLeftRoom + (field_.width - kLeftRoom - kRightRoom) / 2,
             field_.top + kTitleRoom + kRailRoom + drawing_height() / 2};
}

std::vector<const solver::Board*> EndView::boards_here() const {
  std::size_t window = 0;
  for (const solver::Board& board : report_.plan.boards) {
    window = large_end_ ? std::max(window, board.window) : 0;
  }
  std::vector<const solver::Board*> boards;
  for (const solver::Board& board : report_.plan.boards) {
    if (board.window == window) {
      boards.push_back(&board);
    }
  }
  return boards;
}

bool EndView::reaches(const solver::Board& board) const {
  const auto far = [&](const Eigen::Vector3d& corner) {
    return std::abs(corner.x() - station_.x_m) > kAtEndM;
  };
  return !std::all_of(board.corners_m.begin(), board.corners_m.end(), far);
}

void EndView::draw_board(Pen& pen, const solver::Board& board) const {
  constexpr std::size_t kCornersAnEnd = 4;
  Corners corners;
  for (std::size_t i = 0; i < kCornersAnEnd; ++i) {
    // Where the board's edge, drawn on, comes out of this end face: boards of pitched flitches that begin at
    // different places would else seem to overlap.
    const Eigen::Vector3d from = board.corners_m[i];
    const Eigen::Vector3d along = board.corners_m[i + kCornersAnEnd] - from;
    const Eigen::Vector3d corner = to_bench(report_, from + (station_.x_m - from.x()) / along.x() * along);
    corners.push_back(paper(corner.y(), corner.z()));
  }
  if (reaches(board)) {
    pen.outline(corners, Pen::kMedium, kBoardGrey);
  } else {
    pen.outline(corners, Pen::kMedium, -1, {4, 2});
  }
  const double thickness = (corners[3] - corners[0]).norm();
  const double size = std::min(Pen::kText, 0.75 * thickness);
  constexpr double kLeastReadable = 7;
  if (size >= kLeastReadable) {
    // At its left edge on the paper, or at its right edge where the pith's cross is in the way.
    constexpr double kIndent = 6;
    constexpr double kBelowMiddle = 0.36;
    constexpr double kClear = 2 * Pen::kText;
    const Eigen::Vector2d pith = paper(pith_.x(), pith_.y());
    Eigen::Vector2d left = (corners[0] + corners[3]) / 2;
    Eigen::Vector2d right = (corners[1] + corners[2]) / 2;
    if (left.x() > right.x()) {
      std::swap(left, right);
    }
    const bool in_the_way = std::abs(pith.x() - left.x()) < kClear && std::abs(pith.y() - left.y()) < kClear;
    const double x = in_the_way ? right.x() - kIndent - pen.text_width(board.id, size) : left.x() + kIndent;
    pen.bare_text(board.id, {x, left.y() + kBelowMiddle * size}, size);
  }
}

/// Where the polygon crosses the level line z: least and largest y. False if it does not.
bool chord(const Corners& outline, double z, double& least, double& most) {
  bool found = false;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Eigen::Vector2d& a = outline[i];
    const Eigen::Vector2d& b = outline[(i + 1) % outline.size()];
    if ((a.y() < z) == (b.y() < z)) {
      continue;
    }
    const double y = a.x() + (b.x() - a.x()) * (z - a.y()) / (b.y() - a.y());
    least = found ? std::min(least, y) : y;
    most = found ? std::max(most, y) : y;
    found = true;
  }
  return found;
}

void EndView::draw_planes(Pen& pen) const {
  for (const solver::CutPlane& plane : later_planes(report_)) {
    const double z = height_at(report_, plane, station_.x_m);
    double least = 0;
    double most = 0;
    if (chord(bark_, z, least, most)) {
      pen.line(paper(least, z), paper(most, z), Pen::kThin, {6, 3});
    }
  }
  constexpr double kOverhang = 14;
  const double z = opening_z_m();
  const double left = std::min(paper(least_.x(), z).x(), paper(most_.x(), z).x());
  const double right = std::max(paper(least_.x(), z).x(), paper(most_.x(), z).x());
  const double level = paper(0, z).y();
  pen.line({left - kOverhang, level}, {right + kOverhang, level}, Pen::kBold);
}

void EndView::draw_pith_level(Pen& pen) const {
  const Eigen::Vector2d pith = paper(pith_.x(), pith_.y());
  const double left = std::min(paper(least_.x(), 0).x(), paper(most_.x(), 0).x());
  pen.line({left - kOut - kTextGap, pith.y()}, pith, Pen::kThin, {9, 3, 2, 3});
}

void EndView::draw_pith(Pen& pen) const {
  constexpr double kArm = 7;
  const Eigen::Vector2d at = paper(pith_.x(), pith_.y());
  pen.line(at - Eigen::Vector2d(kArm, 0), at + Eigen::Vector2d(kArm, 0), Pen::kMedium);
  pen.line(at - Eigen::Vector2d(0, kArm), at + Eigen::Vector2d(0, kArm), Pen::kMedium);
}

const solver::Support* EndView::nearest_support() const {
  const auto nearer = [&](const solver::Support& a, const solver::Support& b) {
    return std::abs(a.x_m - station_.x_m) < std::abs(b.x_m - station_.x_m);
  };
  const auto& supports = report_.sheet.supports;
  const auto at = std::min_element(supports.begin(), supports.end(), nearer);
  return at == supports.end() ? nullptr : &*at;
}

void EndView::draw_rail(Pen& pen) const {
  const solver::Support* support = nearest_support();
  if (support == nullptr) {
    return;
  }
  const double z = rail_z_m();
  pen.line(paper(support->left.y_m, z), paper(support->right.y_m, z), Pen::kMedium);
  for (const solver::ScrewPoint* screw : {&support->left, &support->right}) {
    if (std::isfinite(screw->gap_m)) {
      pen.line(paper(screw->y_m, z), paper(screw->y_m, z - screw->gap_m), Pen::kThin);
    }
  }
  constexpr double kAbove = 6;
  const double middle = (support->left.y_m + support->right.y_m) / 2;
  pen.text("rail's underside, " + mm(report_.sheet.rail_height_m) + " above the cut",
           {paper(middle, 0).x(), paper(0, std::max(z, most_.y())).y() - kAbove}, Pen::kSmallText,
           Align::middle);
}

void EndView::draw_heights(Pen& pen) const {
  constexpr double kHalfLine = 5;  // from the middle of a text line to its base line
  constexpr double kLineStep = 17;
  const double level = paper(0, opening_z_m()).y();
  const double left = std::min(paper(least_.x(), 0).x(), paper(most_.x(), 0).x());
  const double right = std::max(paper(least_.x(), 0).x(), paper(most_.x(), 0).x());

  const Eigen::Vector2d pith = paper(pith_.x(), pith_.y());
  pen.line({left - kOut - kTextGap, level}, {left, level}, Pen::kThin);
  pen.dimension({left - kOut, pith.y()}, {left - kOut, level});
  const double text_left = left - kOut - kTextGap - 3;
  const double middle = (pith.y() + level) / 2 + kHalfLine;
  pen.text(mm(std::abs(mark_.above_pith_m)), {text_left, middle - kLineStep / 2}, Pen::kTitle, Align::right,
           true);
  pen.text(std::string(mark_.above_pith_m < 0 ? "below" : "above") + " pith",
           {text_left, middle + kLineStep / 2}, Pen::kText, Align::right);

  const double top = paper(0, most_.y()).y();
  const Eigen::Vector2d highest = *std::max_element(
      bark_.begin(), bark_.end(), [](const auto& a, const auto& b) { return a.y() < b.y(); });
  pen.line({paper(highest.x(), 0).x(), top}, {right + kOut + kTextGap, top}, Pen::kThin, {2, 3});
  pen.line({right, level}, {right + kOut + kTextGap, level}, Pen::kThin);
  pen.dimension({right + kOut, top}, {right + kOut, level});
  const double text_right = right + kOut + kTextGap + 3;
  const double centre = (top + level) / 2 + kHalfLine;
  pen.text(mm(std::abs(mark_.below_top_m)), {text_right, centre - kLineStep / 2}, Pen::kTitle, Align::left,
           true);
  pen.text(std::string(mark_.below_top_m < 0 ? "above" : "below") + " top",
           {text_right, centre + kLineStep / 2}, Pen::kText);
  const double under = std::max(level + 2 * kLineStep, centre + 2.5 * kLineStep);
  pen.text("opening cut", {text_right - 8, under}, Pen::kText, Align::left, true);
  pen.line({right + 12, level}, {text_right - 12, under - kHalfLine}, Pen::kThin);
}

void EndView::draw(Pen& pen) const {
  constexpr double kBaseLine = 16;
  pen.outline(paper(bark_), Pen::kMedium, kBarkGrey);
  pen.outline(paper(wood_), Pen::kThin, kWoodGrey);
  draw_pith_level(pen);
  for (const solver::Board* board : boards_here()) {
    draw_board(pen, *board);
  }
  draw_planes(pen);
  draw_pith(pen);
  draw_heights(pen);
  draw_rail(pen);
  pen.text(large_end_ ? "Large end, as you stand before it" : "Small end, as you stand before it",
           {field_.left, field_.top + kBaseLine}, Pen::kText, Align::left, true);
  const auto boards = boards_here();
  if (!std::all_of(boards.begin(), boards.end(), [&](const auto* board) { return reaches(*board); })) {
    pen.text("dashed boards begin further in", {field_.left, field_.top + kBaseLine + kTextGap + Pen::kText},
             Pen::kSmallText);
  }
}

}  // namespace

void draw_ends(Pen& pen, const Report& report, const Rectangle& small_field, const Rectangle& large_field) {
  EndView small_end(report, false, small_field);
  EndView large_end(report, true, large_field);
  const double scale = std::min(small_end.most_scale(), large_end.most_scale());  // so that they compare
  for (EndView* view : {&small_end, &large_end}) {
    view->set_scale(scale);
    view->draw(pen);
  }
}

}  // namespace flitchwise::report
