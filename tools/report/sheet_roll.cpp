#include "tools/report/sheet.hpp"
#include "tools/report/sheet_words.hpp"

namespace flitchwise::report {

void draw_roll(Pages& pages, const Report& report) {
  constexpr double kHeight = 262;
  constexpr double kCaption = 22;
  constexpr double kText = 13;
  const Rectangle field = pages.field(kHeight);
  Pen& pen = pages.pen();
  const Station& station = report.log.stations.front();
  std::vector<Eigen::Vector2d> outline;
  Eigen::Vector2d least = Eigen::Vector2d::Constant(1e9);
  Eigen::Vector2d most = -least;
  const Eigen::MatrixX2d bark = bark_outline_m(station);
  for (const auto& row : bark.rowwise()) {
    outline.emplace_back(to_bench(report, {0, row.x(), row.y()}).tail<2>());
    least = least.cwiseMin(outline.back());
    most = most.cwiseMax(outline.back());
  }
  const double scale = (kHeight - kCaption - 80) / (most - least).maxCoeff();
  const Eigen::Vector2d middle = (least + most) / 2;
  const Eigen::Vector2d centre(field.left + field.width / 2, field.top + (kHeight - kCaption) / 2 + 8);
  const auto paper = [&](const Eigen::Vector2d& at) {
    return Eigen::Vector2d(centre.x() - (at.x() - middle.x()) * scale,
                           centre.y() - (at.y() - middle.y()) * scale);
  };
  for (Eigen::Vector2d& corner : outline) {
    corner = paper(corner);
  }
  pen.outline(outline, Pen::kMedium, 0.92);
  // Level in the log frame before the roll, through the middle of the end.
  const double half = (most - least).maxCoeff() / 2;
  const Eigen::Vector2d level = to_bench(report, {0, 1, 0}).tail<2>();
  const Eigen::Vector2d up = to_bench(report, {0, 0, 1}).tail<2>();
  pen.line(paper(middle - half * level), paper(middle + half * level), Pen::kMedium, {8, 4});
  pen.line(paper(middle), paper(middle + 1.1 * half * up), Pen::kThin, {2, 3});
  pen.line(paper(middle), paper(middle + Eigen::Vector2d(0, 1.12 * half)), Pen::kBold);
  const Eigen::Vector2d old_top = paper(middle + 1.2 * half * up);
  pen.text("old top", {old_top.x(), old_top.y() + 4}, kText,
           old_top.x() < centre.x() ? Align::right : Align::left);
  pen.text("new top", {centre.x(), field.top + 24}, kText, Align::middle, true);
  const Eigen::Vector2d low = paper(middle + (level.y() < 0 ? 1.05 : -1.05) * half * level);
  pen.text("was level: " + roll_angle(report.sheet) + "\u00B0", {low.x(), low.y() + 16}, kText,
           low.x() < centre.x() ? Align::right : Align::left, true);
  pen.text("Small end, after rolling, as you stand before it",
           {field.left + field.width / 2, field.top + kHeight - 4}, kText, Align::middle);
}

}  // namespace flitchwise::report
