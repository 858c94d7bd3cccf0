#include "plan/model_log.hpp"

#include <cmath>

#include "flitchwise/scan/fit.hpp"
#include "flitchwise/scan/read.hpp"
#include "flitchwise/scan/seams.hpp"
#include "plan/find_log.hpp"
#include "plan/scan_warnings.hpp"

namespace flitchwise {
namespace {

scan::FitOptions fit_options(const ScanRequest& request) {
  scan::FitOptions options;
  options.bark_m = request.bark_m;
  options.species = request.species;
  return options;
}

scan::ReadOptions read_options(const OnStage& on_stage) {
  constexpr double kPercent = 100;
  scan::ReadOptions options;
  if (on_stage) {
    options.on_progress = [&](double share) {
      on_stage("reading the scan, " + std::to_string(std::lround(share * kPercent)) + " %");
    };
  }
  return options;
}

ModelledLog will_not_do(ModelledLog result, const std::string& message) {
  result.outcome = ModelledLog::Outcome::scan_will_not_do;
  result.message = message;
  return result;
}

}  // namespace

ModelledLog model_log(const ScanRequest& request, const OnStage& on_stage) {
  const auto stage = [&](std::string_view name) { on_stage ? on_stage(name) : void(); };
  ModelledLog result;

  stage("reading the scan");
  const scan::ReadResult file = scan::read(request.file, read_options(on_stage));

  stage("finding the log");
  const FoundLog found = find_log(file.cloud, request, file.frame);
  result.scan = {request.file.string(),
                 file.format,
                 file.points_read,
                 found.oriented.scale,
                 found.oriented.scale_source,
                 found.oriented.up_source};
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
  result.warnings = scan_warnings(request, file, found, result.log, seams, fitted.warnings);
  return result;
}

}  // namespace flitchwise
