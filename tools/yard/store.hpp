#pragma once
/// What is known of the logs of a yard, kept in one SQLite file that survives the end of the program, of the
/// power and of the patience of whoever waits. Only one process writes it.

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "tools/yard/content_hash.hpp"
#include "tools/yard/log_job.hpp"

namespace flitchwise::yard {

/// Of the file's layout and of the structs in it. Plans are kept from one version of the program to the next
/// only if this stays the same and kPlannerVersion too.
constexpr int kStoreVersion = 2;

class Store {
 public:
  /// Opens the file, which is made if it is missing. Throws InputError if it cannot be made, read or written,
  /// is no store, or is one of another version.
  explicit Store(const std::filesystem::path& file);
  ~Store();
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  std::optional<LogPlans> plans(const std::string& key) const;
  /// LogModels as bytes. Requires: the key is there and its outcome is planned.
  std::string models(const std::string& key) const;
  bool holds(const std::string& key) const;
  /// All of it or, if the power fails, nothing. A key that is there already stays as it is.
  void put(const std::string& key, const PlannedScan& planned);
  /// Takes over what another store holds and this one does not. Returns how many. Throws InputError if it is
  /// missing, no store, or one of another version.
  std::size_t take_over(const std::filesystem::path& other);

  /// The hash of a scan whose files have not changed since it was kept.
  std::optional<std::string> hash(const std::vector<FileState>& files) const;
  void keep_hash(const std::vector<FileState>& files, const std::string& hash);

  /// Which plan's files lie in a log's folder; empty: none, or nobody knows.
  std::string written(const std::string& log) const;
  void set_written(const std::string& log, const std::string& what);
  std::vector<std::string> logs_written() const;

 private:
  struct Database;
  std::unique_ptr<Database> database_;
};

/// Keeps others out of a folder for as long as it lives, or until this process ends in whatever way.
class FolderLock {
 public:
  /// Makes the folder if it is missing. Throws InputError if that fails, and BadUse that names the other
  /// process if another one holds the lock.
  explicit FolderLock(const std::filesystem::path& folder);
  ~FolderLock();
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

 private:
  int file_ = -1;
};

}  // namespace flitchwise::yard
