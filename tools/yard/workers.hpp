#pragma once
/// Jobs in processes of their own: one that crashes or runs out of memory takes nothing with it.

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "scan/model/limits.hpp"

namespace flitchwise::yard {

struct WorkerOptions {
  /// The program and its first words, for example {"/usr/bin/flitchwise", "yard-worker"}: it must do what
  /// worker_main does. Empty: the jobs are done in this process, one after the other.
  std::vector<std::string> command;
  int jobs = 0;  ///< processors to use; 0: as many as the machine has; [0, 1024]
  /// Memory that a worker may have, in MiB; 0: its share of four fifths of the machine's. One that needs more
  /// fails. Not kept to by jobs that are done in this process.
  std::uint64_t memory_mib = 0;
  const std::atomic<bool>* stop = nullptr;  ///< when it becomes true no more is begun and what runs is ended
};
FLITCHWISE_FIELDS(WorkerOptions, command, jobs, memory_mib, stop)
constexpr auto limits_of(const WorkerOptions*) {
  return std::tuple{Limit{&WorkerOptions::jobs, {0, 1024}}, Limit{&WorkerOptions::memory_mib, {0, 1e7}}};
}

/// Throws BadUse if an option is out of range.
void check(const WorkerOptions& options);

/// How a job ended.
struct Ended {
  bool done = false;
  std::string result;            ///< bytes, if done
  std::string message;           ///< one sentence why not
  double seconds = 0;            ///< wall time
  double processor_seconds = 0;  ///< of all threads
  std::uint64_t peak_mib = 0;    ///< most memory; 0: not known
};

/// kind: see worker_main.
struct Work {
  enum class Kind { plan, write };
  Kind kind = Kind::plan;
  std::string job;  ///< PlanJob or WriteJob as bytes
};

/// Does `count` jobs, several at a time, the first ones first. `work(i)` makes the i-th when its turn comes;
/// `ended(i, how)` is told in whatever order they end, in this thread; false: stop. Returns whether all were
/// done. The processors are shared out over what is left to do.
bool do_all(std::size_t count, const std::function<Work(std::size_t)>& work,
            const std::function<bool(std::size_t, Ended)>& ended, const WorkerOptions& options);

/// The other side: does the one job that is read from standard input and writes its result to standard
/// output. `words`: the kind, the number of threads, the memory in MiB, the number of the parent process.
/// Returns the exit code.
int worker_main(const std::vector<std::string>& words);

}  // namespace flitchwise::yard
