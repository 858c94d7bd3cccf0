#include "tools/report/short_words.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "tools/report/text.hpp"

namespace flitchwise::report {

using Source = solver::ShortBoard::Source;

bool is_from_jacket(const solver::ShortBoard& board) {
  return board.source == Source::top_jacket || board.source == Source::bottom_jacket;
}

Eigen::Vector3d size_of(const solver::SawPlan& plan, const solver::ShortBoard& board) {
  const solver::Target& target = plan.targets.at(board.target);
  return {target.thickness_m, target.width_m, board.length_m};
}

std::string short_boards_words(const Report& report) {
  const solver::SawPlan& plan = report.plan;
  if (plan.options.short_lengths_m.empty()) {
    return {};
  }
  if (plan.short_boards.empty()) {
    return "No shorter boards come out of what is left.";
  }
  std::vector<std::pair<std::string, int>> sizes;
  for (const solver::ShortBoard& board : plan.short_boards) {
    const Eigen::Vector3d size = size_of(plan, board);
    const std::string text = mm(size.x()) + "x" + mm(size.y()) + "x" + mm(size.z()) + " mm";
    const auto same =
        std::find_if(sizes.begin(), sizes.end(), [&](const auto& s) { return s.first == text; });
    same == sizes.end() ? static_cast<void>(sizes.emplace_back(text, 1)) : static_cast<void>(++same->second);
  }
  std::string words =
      "Besides, " + counted(plan.short_boards.size(), "shorter board") + " from jackets, edges and ends: ";
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    words += (i == 0 ? "" : ", ") + std::to_string(sizes[i].second) + " of " + sizes[i].first;
  }
  return in_units(report.units, words + ".");
}

}  // namespace flitchwise::report
