#pragma once
/// The jobs and results of log_job.hpp as bytes and back; see archive.hpp.

#include "tools/yard/archive.hpp"
#include "tools/yard/log_job.hpp"

namespace flitchwise {

namespace report {

template <class Archive>
void serialize(Archive& archive, Settings& settings) {
  archive(settings.units, settings.paper, settings.templates);
}

}  // namespace report

namespace yard {

template <class Archive>
void save(Archive& archive, const PlanJob& job) {
  std::vector<std::string> files;
  for (const auto& file : job.scan.files) {
    files.push_back(file.string());
  }
  const ScanRequest& scan = job.scan;
  archive(files, scan.bark_m, scan.species, scan.scale_length_m, scan.scale_points, scan.metres_per_unit,
          scan.unit_source, scan.up, scan.up_source, scan.allow_unseen_ends, scan.near_in_file);
  archive(job.targets, job.priorities, job.search, job.all_patterns, job.kerf_m, job.kit_file,
          job.most_plans);
}

template <class Archive>
void load(Archive& archive, PlanJob& job) {
  std::vector<std::string> files;
  ScanRequest& scan = job.scan;
  archive(files, scan.bark_m, scan.species, scan.scale_length_m, scan.scale_points, scan.metres_per_unit,
          scan.unit_source, scan.up, scan.up_source, scan.allow_unseen_ends, scan.near_in_file);
  scan.files.assign(files.begin(), files.end());
  archive(job.targets, job.priorities, job.search, job.all_patterns, job.kerf_m, job.kit_file,
          job.most_plans);
}

template <class Archive>
void serialize(Archive& archive, CandidatePlan& candidate) {
  archive(candidate.wish, candidate.boards, candidate.value, candidate.wood_m3, candidate.rolls,
          candidate.margin_m, candidate.cut_x_m, candidate.picture, candidate.plan, candidate.pieces);
}

template <class Archive>
void serialize(Archive& archive, LogPlans& plans) {
  archive(plans.outcome, plans.message, plans.format, plans.length_m, plans.small_end_diameter_m,
          plans.large_end_diameter_m, plans.volume_m3, plans.weight_kg, plans.density_kg_m3,
          plans.density_source, plans.ends_in_scan_m, plans.warnings, plans.candidates);
}

template <class Archive>
void serialize(Archive& archive, LogModels& models) {
  archive(models.scan, models.log, models.points, models.warnings, models.plans, models.kit_costs);
}

template <class Archive>
void serialize(Archive& archive, PlannedScan& planned) {
  archive(planned.plans, planned.models);
}

template <class Archive>
void serialize(Archive& archive, WriteJob& job) {
  archive(job.models, job.candidate, job.log_name, job.kit_file, job.kerf_m, job.settings, job.notes,
          job.folder);
}

}  // namespace yard
}  // namespace flitchwise
