#include "tools/job/scan_warnings.hpp"

namespace flitchwise {
namespace {

constexpr double kCoarseResidual_m = 0.0035;  // scans from photographs scatter less
// Phone scans with a doubled surface scatter by up to 8 mm; points that show no surface at all by 30 mm.
constexpr double kMostResidual_m = 0.02;
constexpr double kManySkipped = 0.01;  // of the points

}  // namespace

std::vector<Fact> scan_warnings(const ScanRequest& request, const scan::ReadResult& file,
                                const FoundLog& found, const LogModel& log,
                                const std::vector<scan::Seam>& seams,
                                const std::vector<scan::ScanFact>& of_the_fit) {
  std::vector<Fact> warnings;
  const auto add = [&](const auto& facts) { warnings.insert(warnings.end(), facts.begin(), facts.end()); };
  if (!request.bark_m) {
    warnings.emplace_back(scan::BarkNotGiven{log.bark_m, log.bark_sigma_m, log.bark_source});
  }
  if (!request.scale_length_m && !request.scale_points) {
    warnings.emplace_back(scan::ScaleUnchecked{log.length_m});
  }
  const scan::OrientResult& oriented = found.oriented;
  if (found.log_cloud.rival_log) {
    warnings.emplace_back(scan::RivalLog{
        log.length_m, log.small_end_diameter_m(),
        oriented.scan_from_file.transpose() * found.log_cloud.rival_m / oriented.scale, oriented.scale});
  }
  if (oriented.up_source.kind == scan::UpSource::Kind::assumed) {
    warnings.emplace_back(scan::UpAssumed{oriented.up_source});
  }
  add(found.log_cloud.warnings);
  add(seams);
  if ((!log.small_end.seen || !log.large_end.seen) && found.log_cloud.warnings.empty()) {
    warnings.emplace_back(scan::PartPlanned{});
  }
  if (log.residual_m > kCoarseResidual_m) {
    warnings.emplace_back(scan::CoarseScan{log.residual_m});
  }
  if (static_cast<double>(file.points_skipped) > kManySkipped * static_cast<double>(file.points_read)) {
    warnings.emplace_back(scan::PointsSkipped{file.points_skipped});
  }
  add(file.warnings);
  add(of_the_fit);
  return warnings;
}

std::optional<scan::ScanFact> why_unusable(const LogModel& log) {
  if (!log.find_error().empty()) {
    return scan::NoSoundShape{};
  }
  if (log.residual_m > kMostResidual_m) {
    return scan::NoClearSurface{log.residual_m};
  }
  return std::nullopt;
}

}  // namespace flitchwise
