#include "tools/job/plan_pieces.hpp"

#include <algorithm>

#include "solver/advice/crosscut.hpp"
#include "tools/job/advise.hpp"
#include "tools/job/seen_points.hpp"

namespace flitchwise {
namespace {

PlannedPieces cut_up(PlannedLog whole, const PlanRequest& request, const solver::SearchOptions& options) {
  constexpr double kLeastTime_s = 20;  // a person who asks for it waits for a good place
  const double seconds = std::max(request.advice_time_s, kLeastTime_s);
  PlannedPieces planned;
  auto cut = solver::best_crosscut(whole.log, request.targets, options, {seconds, options.time_limit_s});
  if (cut) {
    planned.cut = {cut->cut_x_m, {cut->boards, cut->value}, {}, cut->complete};
    for (std::size_t i = 0; i < cut->pieces.size(); ++i) {
      PlannedLog piece;
      piece.scan = whole.scan;
      piece.warnings = whole.warnings;
      piece.log = std::move(cut->pieces[i]);
      piece.points = points_of_piece(whole.points, whole.log, piece.log);
      piece.plan = std::move(cut->plans[i]);
      planned.cut->of_pieces.push_back(static_cast<int>(piece.plan.boards.size()));
      planned.pieces.push_back(std::move(piece));
    }
  }
  planned.whole = std::move(whole);
  return planned;
}

}  // namespace

PlannedPieces plan_pieces(const PlanRequest& request, const OnStage& on_stage) {
  const auto begin = [&](Stage stage) { on_stage ? on_stage({stage}) : void(); };
  const solver::Kit kit = kit_of(request);
  const solver::SearchOptions options = search_options(request, kit);
  PlanRequest plain = request;
  plain.advice_time_s = 0;
  PlannedLog whole = plan_log(plain, on_stage);
  if (whole.outcome == PlannedLog::Outcome::scan_will_not_do) {
    return {std::move(whole), {}, {}};
  }
  begin(Stage::cutting_in_two);
  PlannedPieces planned = cut_up(std::move(whole), request, options);
  begin(Stage::setting_up_pieces);
  for (PlannedLog& piece : planned.pieces) {
    piece = with_setup(std::move(piece), kit);
    if (piece.outcome == PlannedLog::Outcome::done) {
      piece.advice = advise(piece.log, piece.plan, 0);
    }
  }
  return planned;
}

}  // namespace flitchwise
