#include "tools/yard/worker_job.hpp"

#include <sys/prctl.h>
#include <sys/resource.h>
#include <tbb/global_control.h>
#include <unistd.h>

#include <charconv>
#include <csignal>
#include <exception>
#include <iostream>
#include <iterator>
#include <new>

#include "tools/yard/archive.hpp"
#include "tools/yard/log_job.hpp"
#include "tools/yard/plan_scan.hpp"
#include "tools/yard/write_plan.hpp"

namespace flitchwise::yard {
namespace {

/// The whole word as a number; 0 if it is none.
std::uint64_t number(const std::string& word) {
  std::uint64_t value = 0;
  const auto [rest, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  return error == std::errc() && rest == word.data() + word.size() ? value : 0;
}

/// What counts is memory of its own: a mapped scan file does not.
void limit_memory([[maybe_unused]] std::uint64_t mib) {
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // whose shadow memory counts, too
  constexpr std::uint64_t kBytesAMib = std::uint64_t{1} << 20;
  rlimit limit{};
  if (mib > 0 && getrlimit(RLIMIT_DATA, &limit) == 0) {
    limit.rlim_cur = std::min(static_cast<rlim_t>(mib * kBytesAMib), limit.rlim_max);
    setrlimit(RLIMIT_DATA, &limit);
  }
#endif
}

}  // namespace

std::string result_of(const Work& work) {
  if (work.kind == Work::Kind::write) {
    write_plan(from_bytes<WriteJob>(work.job));
    return {};
  }
  return bytes_of(plan_scan(from_bytes<PlanJob>(work.job)));
}

Ended done_here(const Work& work, int threads) {
  const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                  static_cast<std::size_t>(threads));
  Ended how;
  try {
    how.result = result_of(work);
    how.done = true;
  } catch (const std::bad_alloc&) {
    how.message = "It needs more memory than there is for it: export it with fewer points.";
  } catch (const std::exception& error) {
    how.message = error.what();
  }
  return how;
}

int worker_main(const std::vector<std::string>& words) {
  constexpr std::size_t kWords = 4;
  if (words.size() != kWords || (words[0] != "plan" && words[0] != "write")) {
    std::cerr << "flitchwise: this command is for the program's own use; see flitchwise yard --help\n";
    return worker_exit::failed;
  }
  prctl(PR_SET_PDEATHSIG, SIGKILL);  // nobody would wait for the result
  if (std::to_string(getppid()) != words[3]) {
    return worker_exit::failed;
  }
  limit_memory(number(words[2]));
  const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                  std::max<std::size_t>(1, number(words[1])));
  try {
    Work work;
    work.kind = words[0] == "plan" ? Work::Kind::plan : Work::Kind::write;
    work.job.assign(std::istreambuf_iterator<char>(std::cin), std::istreambuf_iterator<char>());
    std::cout << result_of(work) << std::flush;
    return std::cout ? worker_exit::done : worker_exit::too_little_memory;
  } catch (const std::bad_alloc&) {
    return worker_exit::too_little_memory;
  } catch (const std::exception& error) {
    std::cout << error.what() << std::flush;
    return worker_exit::failed;
  }
}

}  // namespace flitchwise::yard
