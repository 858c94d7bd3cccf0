#pragma once
/// A scan's bytes: a file mapped read-only into memory, or what lies there already.

#include <filesystem>
#include <functional>
#include <string_view>
#include <utility>

namespace flitchwise::scan {

class MappedFile {
 public:
  /// Throws InputError if the path is missing, not a plain file, not readable or empty.
  explicit MappedFile(std::filesystem::path file);
  /// Of `bytes`, which outlive it; `name` stands for the path in messages. Throws InputError if they are
  /// none.
  MappedFile(std::filesystem::path name, std::string_view bytes);
  ~MappedFile();
  MappedFile(const MappedFile&) = delete;
  MappedFile& operator=(const MappedFile&) = delete;

  const std::filesystem::path& path() const { return path_; }
  std::string_view bytes() const { return bytes_; }
  /// `watcher` is told from now on which share of the file, from 0 to 1, a reader has passed.
  void watch(std::function<void(double share)> watcher) { watcher_ = std::move(watcher); }

 private:
  friend class PageReleaser;
  std::filesystem::path path_;
  std::string_view bytes_;
  bool mapped_ = false;
  std::function<void(double)> watcher_;
};

/// Gives the pages behind a reader's position back to the system, so that a large file does not count as
/// memory of this process. They are mapped again if they are touched again.
class PageReleaser {
 public:
  explicit PageReleaser(const MappedFile& file) : file_(file) {}
  /// The reader is done with every byte before `position`. Positions outside the file are ignored.
  void passed(const char* position);

 private:
  const MappedFile& file_;
  std::size_t released_ = 0;
};

/// The plain file of this name that belongs to `file`: in its folder or below, never outside, whatever the
/// name or a link says. If the name is a path of another machine, its last part is looked for. Empty if there
/// is none.
std::filesystem::path neighbour_of(const std::filesystem::path& file, std::string_view name);

}  // namespace flitchwise::scan
