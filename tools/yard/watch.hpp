#pragma once
/// A yard whose scans arrive one after the other, for example by a phone's sync folder.

#include <functional>

#include "scan/model/limits.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

struct WatchOptions {
  /// A scan is taken for complete when its files have kept size and time for so long; [1, 3600] s. Raise it
  /// for a sync program that pauses longer within a file.
  double settle_s = 5;
  double look_every_s = 1;  ///< [0.1, 3600]: looking is a listing of the folder
};
FLITCHWISE_FIELDS(WatchOptions, settle_s, look_every_s)
constexpr auto limits_of(const WatchOptions*) {
  return std::tuple{Limit{&WatchOptions::settle_s, {1, 3600}},
                    Limit{&WatchOptions::look_every_s, {0.1, 3600}}};
}

/// Throws BadUse that names the option, its value and the broken constraint.
void check(const WatchOptions& options);

/// Runs plan_yard whenever complete scans, the order's file or logs.csv are not what they were at the last
/// run, until WorkerOptions::stop becomes true, which must be given. `on_result` is told each run's result,
/// `on_trouble` what has kept one from being finished (an order that is just being edited, say): the next
/// change is waited for then. Throws only for what no change of the folder can mend: BadUse, as plan_yard
/// does.
void watch_yard(const YardRequest& request, const WatchOptions& options, const YardListener& listener,
                const std::function<void(const YardResult&)>& on_result,
                const std::function<void(const std::string&)>& on_trouble);

}  // namespace flitchwise::yard
