#include "tools/yard/plan_missing.hpp"

#include <chrono>
#include <fstream>
#include <set>

#include "scan/model/errors.hpp"
#include "tools/yard/archive.hpp"
#include "tools/yard/log_job.hpp"
#include "tools/yard/tables.hpp"

namespace flitchwise::yard {
namespace {

using Clock = std::chrono::steady_clock;

YardLog::State state_of(LogPlans::Outcome outcome) {
  switch (outcome) {
    case LogPlans::Outcome::planned:
      return YardLog::State::saved;  // until it is chosen
    case LogPlans::Outcome::no_board_fits:
      return YardLog::State::no_board_fits;
    case LogPlans::Outcome::scan_will_not_do:
      return YardLog::State::scan_will_not_do;
    case LogPlans::Outcome::unreadable:
      return YardLog::State::unreadable;
    case LogPlans::Outcome::failed:
      break;
  }
  return YardLog::State::failed;
}

/// What is known before anything is planned.
YardLog known_log(const KeyedLog& keyed, const Store& store) {
  YardLog log;
  log.name = keyed.listed.name;
  log.file = keyed.listed.file;
  if (!keyed.trouble.empty()) {
    log.state = YardLog::State::unreadable;
    log.message = keyed.trouble;
  } else if (!keyed.complete) {
    log.message = "It is still being written.";
  } else if (!keyed.same_as.empty()) {
    log.state = YardLog::State::duplicate;
    log.message = "It is the same scan as " + keyed.same_as + " and counts once.";
  } else if (!keyed.key.empty()) {
    if (auto plans = store.plans(keyed.key)) {
      log.state = state_of(plans->outcome);
      log.plans = std::move(*plans);
    }
  }
  return log;
}

bool still_the_same(const KeyedLog& keyed) {
  try {
    return files_of_scan(keyed.listed.scan.files.front().path) == keyed.files;
  } catch (const InputError&) {
    return false;
  }
}

/// A line a scan that was planned: what it took, which no table may hold as it differs from run to run.
void log_effort(const YardRequest& request, const std::string& name, const Ended& how) {
  const std::filesystem::path file = request.out / "effort.csv";
  const bool is_new = !std::filesystem::exists(file);
  std::ofstream out(file, std::ios::app);
  if (is_new) {
    out << "log,seconds,processor_seconds,peak_mib\n";
  }
  out << csv_field(name) << ',' << how.seconds << ',' << how.processor_seconds << ',' << how.peak_mib << '\n';
}

class Planning {
 public:
  Planning(const YardRequest& request, const YardListener& listener, Store& store,
           const std::vector<KeyedLog>& keyed, YardResult& result)
      : request_(request), listener_(listener), store_(store), keyed_(keyed), result_(result) {
    std::set<std::string> begun;
    for (std::size_t i = 0; i < keyed.size(); ++i) {
      result.logs.push_back(known_log(keyed[i], store));
      const bool wanted = result.logs.back().state == YardLog::State::not_planned && !keyed[i].key.empty();
      if (wanted && begun.insert(keyed[i].key).second) {
        missing_.push_back(i);
      }
      result.known_before += !keyed[i].key.empty() && keyed[i].same_as.empty() && !wanted ? 1 : 0;
    }
  }

  bool run() {
    tell();
    return do_all(
        missing_.size(),
        [&](std::size_t i) {
          return Work{Work::Kind::plan, bytes_of(keyed_[missing_[i]].job)};
        },
        [&](std::size_t i, const Ended& how) {
          ended(missing_[i], how);
          return true;
        },
        request_.workers);
  }

 private:
  void tell() const {
    if (listener_.on_planned && !missing_.empty()) {
      const double passed_s = std::chrono::duration<double>(Clock::now() - start_).count();
      const auto left = static_cast<double>(missing_.size() - done_);
      listener_.on_planned(done_, missing_.size(),
                           done_ == 0 ? -1 : passed_s * left / static_cast<double>(done_));
    }
  }

  void ended(std::size_t index, const Ended& how) {
    YardLog& log = result_.logs[index];
    PlannedScan planned;
    log.message = how.message;
    if (how.done && still_the_same(keyed_[index])) {
      planned = from_bytes<PlannedScan>(how.result);
      log.message.clear();
      store_.put(keyed_[index].key, planned);
    } else if (how.done) {
      log.message = "It was changed while it was read: run the same command again.";
    }
    log.state = state_of(planned.plans.outcome);
    log.plans = std::move(planned.plans);
    ++done_;
    ++result_.planned_now;
    result_.processor_seconds += how.processor_seconds;
    if (how.peak_mib > result_.peak_mib) {
      result_.peak_mib = how.peak_mib;
      result_.peak_log = log.name;
    }
    log_effort(request_, log.name, how);
    tell();
  }

  const YardRequest& request_;
  const YardListener& listener_;
  Store& store_;
  const std::vector<KeyedLog>& keyed_;
  YardResult& result_;
  std::vector<std::size_t> missing_;
  std::size_t done_ = 0;
  Clock::time_point start_ = Clock::now();
};

}  // namespace

bool plan_missing(const YardRequest& request, const YardListener& listener, Store& store,
                  const std::vector<KeyedLog>& keyed, YardResult& result) {
  return Planning(request, listener, store, keyed, result).run();
}

}  // namespace flitchwise::yard
