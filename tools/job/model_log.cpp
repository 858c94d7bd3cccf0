#include "tools/job/model_log.hpp"

#include <algorithm>

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

ModelledLog will_not_do(ModelledLog result, const scan::ScanFact& why) {
  result.outcome = ModelledLog::Outcome::scan_will_not_do;
  result.message = why;
  return result;
}

}  // namespace

ModelledLog model_log(const ScanRequest& request, const OnStage& on_stage) {
  const auto begin = [&](Stage stage) { on_stage ? on_stage({stage}) : void(); };
  check_limits(request);
  ModelledLog result;

  const ReadScans scans = read_scans(request, on_stage);
  const scan::ReadResult& file = scans.all;
  result.scan.file = names_of(request.files);
  if (scans.why_not) {
    return will_not_do(std::move(result), *scans.why_not);
  }

  begin(Stage::finding);
  const FoundLog found = find_log(file.cloud, request, file.frame);
  result.scan = {names_of(request.files),      file.format,        file.points_read,
                 found.oriented.scale,         found.scale_source, found.oriented.up_source,
                 found.oriented.scan_from_file};
  if (found.log_cloud.status != scan::LogCloud::Status::ok) {
    return will_not_do(std::move(result), found.log_cloud.message.value());
  }

  begin(Stage::fitting);
  scan::FitResult fitted = scan::fit(found.log_cloud, fit_options(request));
  if (fitted.status != scan::FitResult::Status::ok) {
    return will_not_do(std::move(result), fitted.message.value());
  }
  if (const auto why = why_unusable(fitted.log)) {
    return will_not_do(std::move(result), *why);
  }
  const std::vector<scan::Seam> seams = scan::find_seams(found.log_cloud, fitted.log);
  if (const auto spoiling = std::find_if(seams.begin(), seams.end(), scan::spoils_the_scan);
      spoiling != seams.end()) {
    return will_not_do(std::move(result), *spoiling);
  }
  result.outcome = ModelledLog::Outcome::done;
  result.log = std::move(fitted.log);
  result.points = seen_points(found.oriented.cloud, result.log);
  result.warnings = scan_warnings(request, file, found, result.log, seams, fitted.warnings);
  if (scans.agreement) {
    result.warnings.emplace_back(*scans.agreement);
  }
  return result;
}

}  // namespace flitchwise
