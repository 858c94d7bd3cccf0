#include "tools/app/open_page.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <iostream>

#include "tools/report/page.hpp"

namespace flitchwise {
namespace {

/// Runs it to its end without a shell and without its chatter; its exit code, or -1 if it cannot be started.
int run_quietly(const std::string& program, const std::string& argument) {
  std::string name = program;
  std::string value = argument;
  std::array<char*, 3> arguments = {name.data(), value.data(), nullptr};
  posix_spawn_file_actions_t actions{};
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  pid_t child = 0;
  const int failed = posix_spawnp(&child, name.c_str(), &actions, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  int status = 0;
  if (failed != 0 || waitpid(child, &status, 0) != child || !WIFEXITED(status)) {
    return -1;
  }
  return WEXITSTATUS(status);
}

}  // namespace

std::string open_page(const std::filesystem::path& file) {
  const std::filesystem::path whole = std::filesystem::absolute(file);
  if (run_quietly("xdg-open", whole.string()) == 0) {
    return "";
  }
  return "no browser could be started (by xdg-open): open " + whole.string() + " in one yourself";
}

void show_page(const std::filesystem::path& file) {
  const std::string trouble = report::page_available()
                                  ? open_page(file)
                                  : "this build has no page; install nodejs and npm and build again";
  if (!trouble.empty()) {
    std::cerr << "flitchwise: " << trouble << '\n';
  }
}

}  // namespace flitchwise
