#include "tools/yard/watch.hpp"

#include <algorithm>
#include <chrono>
#include <map>
#include <optional>
#include <thread>

#include "scan/model/errors.hpp"
#include "solver/allocate/order_file.hpp"
#include "tools/yard/find_scans.hpp"
#include "tools/yard/list_logs.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;
using States = std::vector<FileState>;

/// The folder is looked at again and again instead of waiting for the system's messages: these do not come
/// for network folders, and not everywhere for sync programs.
class Watch {
 public:
  Watch(const YardRequest& request, const WatchOptions& options) : request_(request), options_(options) {}

  /// All files that a run depends on, as they are now, of those scans that have settled.
  States settled() {
    States all;
    std::map<fs::path, Seen> still_there;
    for (const fs::path& scan : find_scans(request_.folder, {{request_.order_file, request_.out}})) {
      const States now = states_of(scan);
      const auto before = seen_.find(scan);
      Seen seen =
          before != seen_.end() && before->second.files == now ? before->second : Seen{now, Clock::now()};
      if (!now.empty() && Clock::now() - seen.since >= std::chrono::duration<double>(options_.settle_s)) {
        all.insert(all.end(), now.begin(), now.end());
      }
      still_there.emplace(scan, std::move(seen));
    }
    seen_ = std::move(still_there);
    for (const fs::path& table : {request_.order_file, request_.folder / kSettingsFile}) {
      const States now = states_of(table);
      all.insert(all.end(), now.begin(), now.end());
    }
    return all;
  }

  static bool holds(const States& all, const States& some) {
    return std::all_of(some.begin(), some.end(), [&](const FileState& state) {
      return std::find(all.begin(), all.end(), state) != all.end();
    });
  }

 private:
  struct Seen {
    States files;
    Clock::time_point since;
  };

  /// Empty where they cannot be looked at, or not yet.
  static States states_of(const fs::path& scan) {
    try {
      return scan.empty() ? States() : files_of_scan(scan);
    } catch (const InputError&) {
      return {};
    }
  }

  const YardRequest& request_;
  const WatchOptions& options_;
  std::map<fs::path, Seen> seen_;
};

}  // namespace

void check(const WatchOptions& options) {
  check_limits(options);
}

void watch_yard(const YardRequest& request, const WatchOptions& options, const YardListener& listener,
                const std::function<void(const YardResult&)>& on_result,
                const std::function<void(const std::string&)>& on_trouble) {
  check(request);
  check(options);
  require(request.workers.stop != nullptr, "watching a yard needs a way to stop");
  Watch watch(request, options);
  std::optional<States> last;
  for (; !*request.workers.stop;
       std::this_thread::sleep_for(std::chrono::duration<double>(options.look_every_s))) {
    try {
      States now = watch.settled();
      if (last && *last == now) {
        continue;
      }
      last = now;
      YardRequest run = request;
      run.order = request.order_file.empty() ? request.order : solver::read_order(request.order_file);
      for (solver::OrderLine& line : run.order.lines) {
        line.target.wane_share = request.order.lines.front().target.wane_share;  // the request's, for all
      }
      run.is_complete = [&now](const States& files) { return Watch::holds(now, files); };
      const YardResult result = plan_yard(run, listener);
      if (result.finished) {
        on_result(result);
      }
    } catch (const InputError& error) {
      on_trouble(error.what());
    }
  }
}

}  // namespace flitchwise::yard
