#include "tools/yard/map.hpp"

#include <algorithm>
#include <map>

namespace flitchwise::yard {
namespace {

constexpr double kTooFar_m = 5000;   // no yard is larger
constexpr double kTooNear_m = 0.10;  // the middles of two logs are further apart, even in a pile

bool is_survey(const YardLog& log) {
  using Kind = scan::FileFormat::Kind;
  return log.plans.format.kind == Kind::las || log.plans.format.kind == Kind::e57;
}

Eigen::Vector2d middle(const LogMap::Place& place) {
  return (place.small_end_m + place.large_end_m) / 2;
}

bool is_one_survey(const std::vector<LogMap::Place>& places) {
  for (const LogMap::Place& a : places) {
    for (const LogMap::Place& b : places) {
      const double apart_m = (middle(a) - middle(b)).norm();
      if (apart_m > kTooFar_m || (a.log != b.log && apart_m < kTooNear_m)) {
        return false;
      }
    }
  }
  return true;
}

}  // namespace

std::vector<LogMap> maps_of(const YardResult& result) {
  LogMap survey{"Where the logs lie, by the coordinates of their scans", {}};
  std::map<std::string, LogMap> by_file;
  for (std::size_t i = 0; i < result.logs.size(); ++i) {
    const YardLog& log = result.logs[i];
    if (log.plans.length_m <= 0) {
      continue;
    }
    const auto& ends = log.plans.ends_in_scan_m;
    const LogMap::Place place{i, ends[0].head<2>(), ends[1].head<2>()};
    if (is_survey(log)) {
      survey.places.push_back(place);
    } else {
      LogMap& map = by_file[log.file];
      map.title = "Where the logs of " + log.file + " lie";
      map.places.push_back(place);
    }
  }
  std::vector<LogMap> maps;
  if (survey.places.size() > 1 && is_one_survey(survey.places)) {
    maps.push_back(std::move(survey));
  }
  for (auto& [file, map] : by_file) {
    if (map.places.size() > 1) {
      maps.push_back(std::move(map));
    }
  }
  return maps;
}

}  // namespace flitchwise::yard
