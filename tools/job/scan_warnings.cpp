#include "tools/job/scan_warnings.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

namespace flitchwise {
namespace {

constexpr double kCoarseResidualM = 0.0035;  // scans from photographs scatter less
// Phone scans with a doubled surface scatter by up to 8 mm; points that show no surface at all by 30 mm.
constexpr double kMostResidualM = 0.02;
constexpr double kManySkipped = 0.01;  // of the points

std::string bark_warning(const LogModel& log) {
  const bool measured = log.bark_source.rfind("measured", 0) == 0;
  std::ostringstream text;
  text << (measured ? "The bark thickness is read off the scan: " : "The bark thickness is assumed: ")
       << std::lround(log.bark_m * 1000) << " mm, give or take " << std::lround(2 * log.bark_sigma_m * 1000)
       << " mm (" << log.bark_source << "); measure it at both ends and give it with --bark to gain boards.";
  return text.str();
}

/// A point as a person finds it in a point viewer: "1.20,-3.45,0.30".
std::string file_point(const scan::OrientResult& oriented, const Eigen::Vector3d& in_scan_m) {
  constexpr double kFineM = 0.01;  // as many digits as tell a log from its neighbour
  const Eigen::Vector3d p = oriented.scan_from_file.transpose() * in_scan_m / oriented.scale;
  std::ostringstream text;
  text.precision(std::max(0, static_cast<int>(std::ceil(-std::log10(kFineM / oriented.scale)))));
  text << std::fixed << p.x() << ',' << p.y() << ',' << p.z();
  return text.str();
}

}  // namespace

std::vector<std::string> scan_warnings(const ScanRequest& request, const scan::ReadResult& file,
                                       const FoundLog& found, const LogModel& log,
                                       const std::vector<scan::Seam>& seams,
                                       const std::vector<std::string>& of_the_fit) {
  std::vector<std::string> warnings;
  if (!request.bark_m) {
    warnings.push_back(bark_warning(log));
  }
  if (!request.scale_length_m && !request.scale_points) {
    std::ostringstream text;
    text << "The scale rests on the file alone: the log came out " << std::lround(log.length_m * 1000)
         << " mm long. Check that with a tape; if it differs, give the tape's length with --scale-length.";
    warnings.push_back(text.str());
  }
  if (found.log_cloud.rival_log) {
    std::ostringstream text;
    text << "The scan shows more than one log. This plan is for the one that was seen best: "
         << std::lround(log.length_m * 1000) << " mm long, " << std::lround(log.small_end_diameter_m() * 1000)
         << " mm thick at the small end. If that is not yours, give --near "
         << file_point(found.oriented, found.log_cloud.rival_m)
         << ", where the other one lies, or a point on the log that you mean.";
    warnings.push_back(text.str());
  }
  if (found.oriented.up_assumed) {
    warnings.push_back("Which way is up is " + found.oriented.up_source + "; if that is wrong, give --up.");
  }
  warnings.insert(warnings.end(), found.log_cloud.warnings.begin(), found.log_cloud.warnings.end());
  for (const scan::Seam& seam : seams) {
    warnings.push_back(
        scan::in_words(seam) +
        ". The plan follows the surface between; measure the log there with a tape before you saw.");
  }
  if ((!log.small_end.seen || !log.large_end.seen) && found.log_cloud.warnings.empty()) {
    warnings.emplace_back("Not both ends of the log were seen; the plan covers only the part that was.");
  }
  if (log.residual_m > kCoarseResidualM) {
    std::ostringstream text;
    text << "The scan is coarse: its points scatter by " << std::lround(log.residual_m * 1000)
         << " mm. The plan keeps further inside the wood for it; a scan from photographs may show more "
            "boards.";
    warnings.push_back(text.str());
  }
  if (static_cast<double>(file.points_skipped) > kManySkipped * static_cast<double>(file.points_read)) {
    std::ostringstream text;
    text << file.points_skipped << " points of the file have no finite coordinates and were left out.";
    warnings.push_back(text.str());
  }
  warnings.insert(warnings.end(), file.warnings.begin(), file.warnings.end());
  warnings.insert(warnings.end(), of_the_fit.begin(), of_the_fit.end());
  return warnings;
}

std::string why_unusable(const LogModel& log) {
  const std::string error = log.find_error();
  if (!error.empty()) {
    return "The scan gives no sound shape of the log (" + error +
           "). Scan it again, slowly and from nearer by.";
  }
  if (log.residual_m > kMostResidualM) {
    std::ostringstream text;
    text << "The scan shows no clear surface of the log: its points scatter by "
         << std::lround(log.residual_m * 1000)
         << " mm. Scan it again, slowly and in good light, and keep people and loose things out of the way.";
    return text.str();
  }
  return {};
}

std::string why_seams_spoil(const std::vector<scan::Seam>& seams) {
  const auto worst = std::find_if(seams.begin(), seams.end(), scan::spoils_the_scan);
  return worst == seams.end() ? std::string()
                              : scan::in_words(*worst) +
                                    ", so it is not known where the log's surface lies. Scan it again: walk "
                                    "slowly, and go on for a "
                                    "few steps past the place where you began.";
}

}  // namespace flitchwise
