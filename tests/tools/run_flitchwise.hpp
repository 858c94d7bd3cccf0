#pragma once
/// Runs the built `flitchwise` program as a person would, and reads what it answers.

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace flitchwise::testing {

/// A folder of its own under the system's place for temporary files, removed at the end.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  Folder(Folder&&) = delete;
  Folder& operator=(Folder&&) = delete;
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  /// Writes a file into it; returns its path.
  std::string write(const std::string& name, const std::string& bytes) const;

 private:
  std::filesystem::path path_;
};

struct Run {
  static constexpr int crashed = -1;    ///< ended by a signal
  static constexpr int timed_out = -2;  ///< stopped by us
  int exit_code = crashed;
  std::string out;       ///< stdout
  std::string progress;  ///< lines of stderr that begin with "... "
  std::string trouble;   ///< all other lines of stderr, with their line ends
};

/// Runs `flitchwise` with these arguments. Throws std::runtime_error if it cannot be started.
Run run_flitchwise(const std::vector<std::string>& arguments);

/// The program at work while the test goes on. Ended at the latest when this goes.
class Background {
 public:
  explicit Background(const std::vector<std::string>& arguments);
  ~Background();
  Background(const Background&) = delete;
  Background& operator=(const Background&) = delete;
  bool runs();
  /// Sends it the signal and waits for its end.
  Run end(int signal);

 private:
  Run ended(int exit_code) const;
  Folder folder_;
  int process_ = 0;
  bool waited_ = false;
  Run run_;
};

/// Runs `flitchwise plan SCAN --board BOARD --out OUT` and whatever else.
Run plan(const std::string& scan, const std::string& out, const std::vector<std::string>& more = {},
         const std::string& board = "50x150x2400");

/// Empty if the run failed with this exit code as it should: nothing on stdout and one line on stderr that
/// begins with "flitchwise: "; else what is wrong.
std::string not_one_sentence(const Run& run, int exit_code);

/// Name and content of every file below a folder; empty if there is no such folder.
std::map<std::string, std::string> files_below(const std::filesystem::path& folder);

std::string content(const std::filesystem::path& file);

}  // namespace flitchwise::testing
