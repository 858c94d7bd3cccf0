#include "tests/tools/run_flitchwise.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <thread>

namespace flitchwise::testing {
namespace {

namespace fs = std::filesystem;

constexpr std::chrono::seconds kPatience{60};  // a run takes a few seconds at most; a hang would last
constexpr std::chrono::milliseconds kPause{5};
constexpr mode_t kReadWrite = 0600;

/// Exit code of a child, or why there is none.
int wait_for(pid_t child) {
  const auto start = std::chrono::steady_clock::now();
  int status = 0;
  while (waitpid(child, &status, WNOHANG) == 0) {
    if (std::chrono::steady_clock::now() - start > kPatience) {
      kill(child, SIGKILL);
      waitpid(child, &status, 0);
      return Run::timed_out;
    }
    std::this_thread::sleep_for(kPause);
  }
  return WIFEXITED(status) ? WEXITSTATUS(status) : Run::crashed;
}

pid_t start_into(std::vector<std::string> words, const std::string& out_file, const std::string& err_file) {
  std::vector<char*> argv;
  for (std::string& word : words) {
    argv.push_back(word.data());
  }
  argv.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  const int how = O_WRONLY | O_CREAT | O_TRUNC;
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, out_file.c_str(), how, kReadWrite);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, err_file.c_str(), how, kReadWrite);
  pid_t child = 0;
  const int error = posix_spawn(&child, argv.front(), &actions, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  if (error != 0) {
    throw std::runtime_error(words.front() + " cannot be started");
  }
  return child;
}

int run_into(const std::vector<std::string>& words, const std::string& out_file,
             const std::string& err_file) {
  return wait_for(start_into(words, out_file, err_file));
}

std::vector<std::string> words_of(const std::vector<std::string>& arguments) {
  std::vector<std::string> words{FLITCHWISE_PROGRAM};
  words.insert(words.end(), arguments.begin(), arguments.end());
  return words;
}

void sort_lines(const std::string& text, Run& run) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    (line.starts_with("... ") ? run.progress : run.trouble) += line + '\n';
  }
}

}  // namespace

Folder::Folder() {
  std::string name = (fs::temp_directory_path() / "flitchwise-test-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) {
    throw std::runtime_error("no folder can be made in " + fs::temp_directory_path().string());
  }
  path_ = name;
}

Folder::~Folder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::string Folder::write(const std::string& name, const std::string& bytes) const {
  std::ofstream(path_ / name, std::ios::binary) << bytes;
  return *this / name;
}

Run run_flitchwise(const std::vector<std::string>& arguments) {
  const Folder folder;
  Run run;
  run.exit_code = run_into(words_of(arguments), folder / "stdout", folder / "stderr");
  run.out = content(folder / "stdout");
  sort_lines(content(folder / "stderr"), run);
  return run;
}

Background::Background(const std::vector<std::string>& arguments)
    : process_(start_into(words_of(arguments), folder_ / "stdout", folder_ / "stderr")) {}

Background::~Background() {
  if (!waited_) {
    end(SIGKILL);
  }
}

bool Background::runs() {
  int status = 0;
  if (!waited_ && waitpid(process_, &status, WNOHANG) != 0) {
    waited_ = true;
    run_ = ended(WIFEXITED(status) ? WEXITSTATUS(status) : Run::crashed);
  }
  return !waited_;
}

Run Background::end(int signal) {
  if (runs()) {
    kill(process_, signal);
    waited_ = true;
    run_ = ended(wait_for(process_));
  }
  return run_;
}

Run Background::ended(int exit_code) const {
  Run run;
  run.exit_code = exit_code;
  run.out = content(folder_ / "stdout");
  sort_lines(content(folder_ / "stderr"), run);
  return run;
}

Run plan(const std::string& scan, const std::string& out, const std::vector<std::string>& more,
         const std::string& board) {
  std::vector<std::string> words{"plan", scan, "--board", board, "--out", out};
  words.insert(words.end(), more.begin(), more.end());
  if (std::find(more.begin(), more.end(), "--advice-time") == more.end()) {
    words.insert(words.end(), {"--advice-time", "0"});  // tests that do not look at the advice need not wait
  }
  return run_flitchwise(words);
}

std::string not_one_sentence(const Run& run, int exit_code) {
  constexpr std::size_t kFewWords = 30;  // less cannot say what is wrong and what to do
  std::string wrong;
  if (run.exit_code != exit_code) {
    wrong += "exit code " + std::to_string(run.exit_code) + "; ";
  }
  if (!run.out.empty()) {
    wrong += "stdout is not empty; ";
  }
  const std::string start = "flitchwise: ";
  if (!run.trouble.starts_with(start) || run.trouble.find('\n') != run.trouble.size() - 1 ||
      run.trouble.size() < start.size() + kFewWords) {
    wrong += "stderr is not one sentence; ";
  }
  return wrong.empty() ? wrong : wrong + "stderr: " + run.trouble;
}

std::map<std::string, std::string> files_below(const fs::path& folder) {
  std::map<std::string, std::string> files;
  if (fs::is_directory(folder)) {
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
      if (!entry.is_directory()) {
        files[fs::relative(entry.path(), folder).string()] = content(entry.path());
      }
    }
  }
  return files;
}

std::string content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

}  // namespace flitchwise::testing
