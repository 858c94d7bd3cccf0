#include "tools/yard/workers.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <list>
#include <thread>

#include "scan/model/errors.hpp"
#include "tools/yard/worker_job.hpp"

namespace flitchwise::yard {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds kPause{2};  // between two looks at the workers: short beside any job
/// Far beyond what any scan takes; a job that hangs must not stop the yard for ever.
constexpr double kMost_s = 3 * 3600;
constexpr std::uint64_t kKibAMib = 1024;
constexpr double kMemoryShare = 0.8;  // the rest is for the system and the files that it keeps in memory

std::uint64_t memory_for_each(const WorkerOptions& options, int jobs) {
  if (options.memory_mib > 0) {
    return options.memory_mib;
  }
  const double mib = static_cast<double>(sysconf(_SC_PHYS_PAGES)) *
                     static_cast<double>(sysconf(_SC_PAGESIZE)) / (kKibAMib * kKibAMib);
  return static_cast<std::uint64_t>(kMemoryShare * mib / jobs);
}

/// A file in memory that is gone when it is closed.
class MemoryFile {
 public:
  explicit MemoryFile(const std::string& bytes = {}) : file_(memfd_create("flitchwise", MFD_CLOEXEC)) {
    if (file_ < 0 || !wrote_all(bytes)) {
      throw InputError("the machine has too little memory for another worker: plan fewer logs at a time.");
    }
  }
  ~MemoryFile() {
    if (file_ >= 0) {
      close(file_);
    }
  }
  MemoryFile(MemoryFile&& other) noexcept : file_(other.file_) { other.file_ = -1; }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  MemoryFile& operator=(MemoryFile&&) = delete;
  int file() const { return file_; }

  std::string bytes() const {
    std::string all(static_cast<std::size_t>(std::max<off_t>(lseek(file_, 0, SEEK_END), 0)), '\0');
    std::size_t at = 0;
    while (at < all.size()) {
      const ssize_t count = pread(file_, all.data() + at, all.size() - at, static_cast<off_t>(at));
      if (count <= 0) {
        return {};
      }
      at += static_cast<std::size_t>(count);
    }
    return all;
  }

 private:
  bool wrote_all(const std::string& bytes) const {
    std::size_t at = 0;
    while (at < bytes.size()) {
      const ssize_t count = write(file_, bytes.data() + at, bytes.size() - at);
      if (count <= 0) {
        return false;
      }
      at += static_cast<std::size_t>(count);
    }
    return lseek(file_, 0, SEEK_SET) == 0;
  }
  int file_;
};

struct Running {
  std::size_t index = 0;
  pid_t process = 0;
  MemoryFile out;
  Clock::time_point start;
};

pid_t start(const std::vector<std::string>& command, const MemoryFile& in, const MemoryFile& out) {
  std::vector<std::string> words = command;
  std::vector<char*> argv;
  for (std::string& word : words) {
    argv.push_back(word.data());
  }
  argv.push_back(nullptr);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_adddup2(&files, in.file(), STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&files, out.file(), STDOUT_FILENO);
  posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);  // Ctrl-C is for the parent to deal with
  pid_t process = 0;
  const int error = posix_spawn(&process, argv.front(), &files, &attributes, argv.data(), environ);
  posix_spawn_file_actions_destroy(&files);
  posix_spawnattr_destroy(&attributes);
  if (error != 0) {
    throw InputError(words.front() + " cannot be started (" + std::strerror(error) + ").");
  }
  return process;
}

double seconds_of(const timeval& time) {
  constexpr double kMicro = 1e-6;
  return static_cast<double>(time.tv_sec) + kMicro * static_cast<double>(time.tv_usec);
}

/// Why there is no result, in words that are the same on every machine.
std::string why_not(int status, const std::string& told) {
  if (WIFEXITED(status) && WEXITSTATUS(status) == worker_exit::too_little_memory) {
    return "It needs more memory than there is for it: export it with fewer points, or plan fewer logs at a "
           "time.";
  }
  if (WIFEXITED(status) && !told.empty() && told.size() < kKibAMib) {
    return told;
  }
  if (WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL) {
    return "Its planning was ended from outside, most likely for want of memory: plan fewer logs at a time.";
  }
  return "Its planning broke off: the scan may be damaged; plan it by itself with 'flitchwise plan' to see "
         "more.";
}

class Workers {
 public:
  Workers(std::size_t count, const std::function<Work(std::size_t)>& work,
          const std::function<bool(std::size_t, Ended)>& ended, const WorkerOptions& options)
      : count_(count), work_(work), ended_(ended), options_(options), jobs_(processors(options)) {}
  ~Workers() { end_all(); }
  Workers(const Workers&) = delete;
  Workers& operator=(const Workers&) = delete;

  bool run() {
    bool go_on = true;
    while (go_on && (next_ < count_ || !running_.empty())) {
      while (next_ < count_ && running_.size() < static_cast<std::size_t>(jobs_)) {
        begin();
      }
      go_on = look_round() && !stopped();
      if (go_on && !running_.empty()) {
        std::this_thread::sleep_for(kPause);
      }
    }
    return go_on;
  }

  static int processors(const WorkerOptions& options) {
    return options.jobs > 0 ? options.jobs
                            : static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  }

 private:
  bool stopped() const { return options_.stop != nullptr && *options_.stop; }

  void begin() {
    const Work work = work_(next_);
    const std::size_t at_once = std::min(static_cast<std::size_t>(jobs_), running_.size() + (count_ - next_));
    const int threads = std::max(1, jobs_ / static_cast<int>(at_once));
    std::vector<std::string> command = options_.command;
    command.insert(command.end(),
                   {work.kind == Work::Kind::plan ? "plan" : "write", std::to_string(threads),
                    std::to_string(memory_for_each(options_, jobs_)), std::to_string(getpid())});
    MemoryFile in(work.job);
    MemoryFile out;
    const pid_t process = start(command, in, out);
    running_.push_back({next_, process, std::move(out), Clock::now()});
    ++next_;
  }

  bool look_round() {
    for (auto it = running_.begin(); it != running_.end();) {
      int status = 0;
      rusage used{};
      const pid_t process = wait4(it->process, &status, WNOHANG, &used);
      const double seconds = std::chrono::duration<double>(Clock::now() - it->start).count();
      if (process == 0) {
        if (seconds > kMost_s) {
          kill(it->process, SIGKILL);
        }
        ++it;
        continue;
      }
      Ended how = how_it_ended(*it, status, used);
      how.seconds = seconds;
      const std::size_t index = it->index;
      it = running_.erase(it);
      if (next_ < count_ && !stopped()) {
        begin();  // before the result is dealt with: a processor need not wait for the disk
      }
      if (!ended_(index, std::move(how))) {
        return false;
      }
    }
    return true;
  }

  static Ended how_it_ended(const Running& worker, int status, const rusage& used) {
    Ended how;
    how.done = WIFEXITED(status) && WEXITSTATUS(status) == worker_exit::done;
    std::string told = worker.out.bytes();
    if (how.done) {
      how.result = std::move(told);
    } else {
      how.message = why_not(status, told);
    }
    how.processor_seconds = seconds_of(used.ru_utime) + seconds_of(used.ru_stime);
    how.peak_mib = static_cast<std::uint64_t>(used.ru_maxrss) / kKibAMib;
    return how;
  }

  void end_all() {
    for (const Running& worker : running_) {
      kill(worker.process, SIGKILL);
    }
    for (const Running& worker : running_) {
      waitpid(worker.process, nullptr, 0);
    }
    running_.clear();
  }

  std::size_t count_;
  const std::function<Work(std::size_t)>& work_;
  const std::function<bool(std::size_t, Ended)>& ended_;
  const WorkerOptions& options_;
  int jobs_;
  std::size_t next_ = 0;
  std::list<Running> running_;
};

bool do_all_here(std::size_t count, const std::function<Work(std::size_t)>& work,
                 const std::function<bool(std::size_t, Ended)>& ended, const WorkerOptions& options) {
  for (std::size_t i = 0; i < count; ++i) {
    if (options.stop != nullptr && *options.stop) {
      return false;
    }
    const auto start = Clock::now();
    Ended how = done_here(work(i), Workers::processors(options));
    how.seconds = std::chrono::duration<double>(Clock::now() - start).count();
    if (!ended(i, std::move(how))) {
      return false;
    }
  }
  return true;
}

}  // namespace

void check(const WorkerOptions& options) {
  check_limits(options);
}

bool do_all(std::size_t count, const std::function<Work(std::size_t)>& work,
            const std::function<bool(std::size_t, Ended)>& ended, const WorkerOptions& options) {
  check(options);
  return options.command.empty() ? do_all_here(count, work, ended, options)
                                 : Workers(count, work, ended, options).run();
}

}  // namespace flitchwise::yard
