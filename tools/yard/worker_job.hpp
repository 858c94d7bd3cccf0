#pragma once
/// One job of a worker, in whatever process.

#include <string>

#include "tools/yard/workers.hpp"

namespace flitchwise::yard {

/// How a worker's process ends.
namespace worker_exit {
constexpr int done = 0;
constexpr int failed = 1;  ///< its output is one sentence
constexpr int too_little_memory = 3;
}  // namespace worker_exit

/// Does the job; returns the result's bytes. Throws what the job throws.
std::string result_of(const Work& work);

/// The same in this process with at most so many threads; nothing is thrown.
Ended done_here(const Work& work, int threads);

}  // namespace flitchwise::yard
