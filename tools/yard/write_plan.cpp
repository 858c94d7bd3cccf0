#include "tools/yard/write_plan.hpp"

#include <filesystem>

#include "scan/model/cut_out.hpp"
#include "scan/model/errors.hpp"
#include "tools/job/advise.hpp"
#include "tools/job/plan_log.hpp"
#include "tools/job/seen_points.hpp"
#include "tools/report/fact_words.hpp"
#include "tools/report/paint/write_report.hpp"
#include "tools/yard/archive.hpp"
#include "tools/yard/log_job.hpp"

namespace flitchwise::yard {
namespace {

void write(const WriteJob& job, const solver::Kit& kit, PlannedLog planned,
           const std::filesystem::path& folder) {
  planned.scan.file = job.log_name;
  planned.warnings.insert(planned.warnings.end(), job.notes.begin(), job.notes.end());
  planned.warnings.emplace_back(Told{"This plan was chosen for the order of the whole yard (" +
                                     job.candidate.wish +
                                     "): by itself the log may give more of other boards."});
  planned = with_setup(std::move(planned), kit);
  require(planned.outcome == PlannedLog::Outcome::done,
          planned.message ? report::words(*planned.message, report::Units::millimetres) : "");
  planned.advice = advise(planned.log, planned.plan, 0);
  report::write_report(report::Report(planned, job.settings), folder);
}

}  // namespace

void write_plan(const WriteJob& job) {
  auto models = from_bytes<LogModels>(job.models);
  PlanRequest request;
  request.kerf_m = job.kerf_m;
  request.kit = job.kit;
  const solver::Kit kit = kit_of(request);
  const CandidatePlan& candidate = job.candidate;
  for (std::size_t i = 0; i < candidate.pieces.size(); ++i) {
    if (!candidate.pieces[i]) {
      continue;
    }
    PlannedLog planned;
    planned.scan = models.scan;
    planned.warnings = models.warnings;
    planned.plan = models.plans.at(candidate.plan + i);
    planned.kit_costs = models.kit_costs.at(candidate.plan + i);
    if (candidate.pieces.size() == 1) {
      planned.log = std::move(models.log);
      planned.points = std::move(models.points);
      write(job, kit, std::move(planned), job.folder);
      return;
    }
    const double half_kerf_m = planned.plan.options.crosscut_kerf_m / 2;
    planned.log = i == 0 ? cut_out(models.log, 0, candidate.cut_x_m - half_kerf_m)
                         : cut_out(models.log, candidate.cut_x_m + half_kerf_m, models.log.usable_length_m());
    planned.points = points_of_piece(models.points, models.log, planned.log);
    planned.warnings.insert(planned.warnings.begin(), PieceOfLog{i == 0, job.candidate.cut_x_m});
    write(job, kit, std::move(planned),
          std::filesystem::path(job.folder) / ("piece-" + std::to_string(i + 1)));
  }
}

}  // namespace flitchwise::yard
