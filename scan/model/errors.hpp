#pragma once
/// The three ways in which something can go wrong, and who is told.
///   BadUse      the caller's mistake: an option or argument out of its range (exit code 1)
///   InputError  trouble with a file: it names the path and, where known, the place in it (exit code 2)
///   status and fact in a result struct: data that cannot support an answer (exit codes 3 and 4)

#include <stdexcept>
#include <string>

namespace flitchwise {

/// The caller's mistake. The text names the option, its value and the constraint that it breaks.
struct BadUse : std::invalid_argument {
  using std::invalid_argument::invalid_argument;
};

/// A file that cannot be read or written. The text is one sentence: what is wrong and what to do.
struct InputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Throws BadUse with `text` unless `holds`.
inline void require(bool holds, const std::string& text) {
  if (!holds) {
    throw BadUse(text);
  }
}

}  // namespace flitchwise
