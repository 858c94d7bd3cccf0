#include "tools/yard/thumbnail.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "scan/model/units.hpp"
#include "tools/report/scene/section.hpp"

namespace flitchwise::yard {
namespace {

constexpr std::size_t kMostCorners = 60;  // a picture of a thumb's size shows no more

bool reaches(const solver::Board& board, double x_m) {
  for (std::size_t i = 0; i < board.corners_m.size() / 2; ++i) {
    if (x_m < board.corners_m[i].x() || x_m > board.corners_m[i + board.corners_m.size() / 2].x()) {
      return false;
    }
  }
  return true;
}

/// Where most boards can be seen: boards end to end have a gap at the very middle.
double fullest_place_m(const LogModel& log, const std::vector<solver::Board>& boards) {
  constexpr std::array<double, 3> kPlaces = {1. / 2, 1. / 4, 3. / 4};
  const auto seen = [&](double share) {
    return std::count_if(boards.begin(), boards.end(), [&](const solver::Board& board) {
      return reaches(board, share * log.usable_length_m());
    });
  };
  return log.usable_length_m() * *std::max_element(kPlaces.begin(), kPlaces.end(),
                                                   [&](double a, double b) { return seen(a) < seen(b); });
}

/// An SVG path, y down, whole millimetres from `centre_m`.
std::string path(const report::Corners& corners, const Eigen::Vector2d& centre_m) {
  const std::size_t count = std::min(corners.size(), kMostCorners);
  std::string words;
  for (std::size_t i = 0; i < count; ++i) {
    const Eigen::Vector2d mm = kMmAMetre * (corners[i * corners.size() / count] - centre_m);
    words += i == 0 ? 'M' : ' ';
    words += std::to_string(std::lround(mm.x())) + ' ' + std::to_string(-std::lround(mm.y()));
  }
  return words + "Z";
}

}  // namespace

std::string thumbnail(const LogModel& log, const solver::SawPlan& plan) {
  const double x_m = fullest_place_m(log, plan.boards);
  const Station section = station_at(log, x_m);
  const report::SectionView view{plan.orientation.roll_rad, false};
  const Eigen::Vector2d centre_m = view.at(section.centre_m);
  std::string boards;
  for (const solver::Board& board : plan.boards) {
    if (reaches(board, x_m)) {
      boards += path(report::board_section(view, board, x_m), centre_m);
    }
  }
  constexpr long kAround_mm = 5;
  const auto half_mm = std::lround(section.bark_radius_m.maxCoeff() * kMmAMetre) + kAround_mm;
  const std::string half = std::to_string(half_mm);
  const std::string whole = std::to_string(2 * half_mm);
  return "<svg class=\"thumb\" viewBox=\"-" + half + " -" + half + ' ' + whole + ' ' + whole +
         "\"><path class=\"bark\" d=\"" + path(view.outline(bark_outline_m(section)), centre_m) +
         "\"/><path class=\"wood\" d=\"" + path(view.outline(planning_outline_m(section, 0)), centre_m) +
         "\"/><path class=\"board\" d=\"" + boards + "\"/></svg>";
}

}  // namespace flitchwise::yard
