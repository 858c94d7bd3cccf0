#pragma once
/// From the points of one log to its model: curved centreline, closed cross-sections, and what is not known.

#include <optional>
#include <string>
#include <vector>

#include "scan/find/isolate.hpp"
#include "scan/model/limits.hpp"
#include "scan/model/log_model.hpp"

namespace flitchwise::scan {

struct FitOptions {
  double station_spacing_m = 0.025;  ///< [0.005, 0.2]
  int angles = 180;                  ///< samples around a section; [24, 720]
  std::optional<double> bark_m;  ///< bark thickness from the person; from the species when empty; [0, 0.15]
  double given_bark_spread =
      0.12;  ///< 1-sigma variation of a measured thickness round the log, as a share; [0, 1]
  /// 1-sigma uncertainty of the scan's scale, as a share of every radius: 0 where a tape settled it; some
  /// 0.005 where it rests on the scan alone (phone scans are off by up to 1 %); [0, 0.05]
  double scale_sigma = 0;
  std::string species;  ///< common name; empty: unknown, with a wide uncertainty of the bark
};
FLITCHWISE_FIELDS(FitOptions, station_spacing_m, angles, bark_m, given_bark_spread, scale_sigma, species)
constexpr auto limits_of(const FitOptions*) {
  return std::tuple{Limit{&FitOptions::station_spacing_m, {0.005, 0.2}},
                    Limit{&FitOptions::angles, {24, 720}}, Limit{&FitOptions::bark_m, {0, 0.15}},
                    Limit{&FitOptions::given_bark_spread, {0, 1}},
                    Limit{&FitOptions::scale_sigma, {0, 0.05}}};
}

struct FitResult {
  enum class Status { ok, one_side_only, too_few_points };
  Status status = Status::too_few_points;
  std::optional<ScanFact> message;  ///< unless ok
  LogModel log;                     ///< valid (find_error() is empty) if ok
  std::vector<ScanFact> warnings;
};

/// Requires: the log cloud's status is ok. Throws BadUse if an option is out of range or the species is
/// unknown.
FitResult fit(const LogCloud& log_cloud, const FitOptions& options = {});

}  // namespace flitchwise::scan
