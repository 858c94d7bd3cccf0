#pragma once
/// Where the logs lie, as far as their scans say so.

#include <string>
#include <vector>

#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

/// Logs in one level coordinate system.
struct LogMap {
  struct Place {
    std::size_t log = 0;          ///< index in YardResult::logs
    Eigen::Vector2d small_end_m;  ///< x and y in the scan's frame
    Eigen::Vector2d large_end_m;
  };
  std::string title;
  std::vector<Place> places;  ///< at least two
};

/// One map of all LAS and E57 scans, which are measured in a survey's coordinates, unless logs lie on top of
/// each other in them or kilometres apart: then they are not of one survey. And one for each other scan that
/// shows several logs.
std::vector<LogMap> maps_of(const YardResult& result);

}  // namespace flitchwise::yard
