#include "tools/job/model_log.hpp"

#include "scan/fit/fit.hpp"
#include "scan/fit/seams.hpp"
#include "tools/job/find_log.hpp"
#include "tools/job/read_scans.hpp"
#include "tools/job/scan_warnings.hpp"
#include "tools/job/seen_points.hpp"

namespace flitchwise {
namespace {

/// Phone scans are up to 1 % too large or too small: a judgement from papers on phone scans, no published
/// figure.
constexpr double kScaleOfFileSigma = 0.005;

scan::FitOptions fit_options(const ScanRequest& request) {
  scan::FitOptions options;
  options.bark_m = request.bark_m;
  options.species = request.species;
  if (!request.scale_length_m && !request.scale_points) {
    options.scale_sigma = kScaleOfFileSigma;
  }
  return options;
}

/// As the person named them, with commas between.
std::string names_of(const std::vector<scan::ScanFile>& files) {
  std::string names;
  for (const scan::ScanFile& file : files) {
    names += (names.empty() ? "" : ", ") + file.path.string();
  }
  return names;
}

ModelledLog will_not_do(ModelledLog result, const std::string& message) {
  result.outcome = ModelledLog::Outcome::scan_will_not_do;
  result.message = message;
  return result;
}

}  // namespace

ModelledLog model_log(const ScanRequest& request, const OnStage& on_stage) {
  const auto stage = [&](std::string_view name) { on_stage ? on_stage(name) : void(); };
  check_limits(request);
  ModelledLog result;

  const ReadScans scans = read_scans(request, on_stage);
  const scan::ReadResult& file = scans.all;
  result.scan.file = names_of(request.files);
  if (!scans.why_not.empty()) {
    return will_not_do(std::move(result), scans.why_not);
  }

  stage("finding the log");
  const FoundLog found = find_log(file.cloud, request, file.frame);
  result.scan = {names_of(request.files),
                 file.format,
                 file.points_read,
                 found.oriented.scale,
                 found.oriented.scale_source,
                 found.oriented.up_source,
                 found.oriented.scan_from_file};
  if (found.log_cloud.status != scan::LogCloud::Status::ok) {
    return will_not_do(std::move(result), found.log_cloud.message);
  }

  stage("fitting its shape");
  scan::FitResult fitted = scan::fit(found.log_cloud, fit_options(request));
  if (fitted.status != scan::FitResult::Status::ok) {
    return will_not_do(std::move(result), fitted.message);
  }
  if (const std::string reason = why_unusable(fitted.log); !reason.empty()) {
    return will_not_do(std::move(result), reason);
  }
  const std::vector<scan::Seam> seams = scan::find_seams(found.log_cloud, fitted.log);
  if (const std::string reason = why_seams_spoil(seams); !reason.empty()) {
    return will_not_do(std::move(result), reason);
  }
  result.outcome = ModelledLog::Outcome::done;
  result.log = std::move(fitted.log);
  result.points = seen_points(found.oriented.cloud, result.log);
  result.warnings = scan_warnings(request, file, found, result.log, seams, fitted.warnings);
  if (!scans.note.empty()) {
    result.warnings.push_back(scans.note);
  }
  return result;
}

}  // namespace flitchwise
