#include "tools/yard/store.hpp"

#include <fcntl.h>
#include <sqlite3.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <functional>

#include "scan/model/errors.hpp"
#include "tools/yard/archive.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;

constexpr int kApplication = 0x464C5921;  // "FLY!", SQLite's mark of whose file it is
constexpr int kPatience_ms = 20000;       // for somebody who only looks into the file

/// EXTRA is FULL and also sees to it that a journal which was removed stays removed when the power fails.
/// A rollback journal and not a write-ahead log: it works on network folders, and there is one writer.
constexpr const char* kSafely = "PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA;";

constexpr const char* kTables =
    "CREATE TABLE logs (key TEXT PRIMARY KEY, outcome INTEGER NOT NULL, plans BLOB NOT NULL,"
    "                   models BLOB NOT NULL) WITHOUT ROWID;"
    "CREATE TABLE hashes (files TEXT PRIMARY KEY, hash TEXT NOT NULL) WITHOUT ROWID;"
    "CREATE TABLE written (log TEXT PRIMARY KEY, what TEXT NOT NULL) WITHOUT ROWID;";

/// Files as they were, in one word.
std::string state_text(const std::vector<FileState>& files) {
  std::string text;
  for (const FileState& state : files) {
    text += fs::absolute(state.file).string() + '\n' + std::to_string(state.size) + '\n' +
            std::to_string(state.modified_ns) + '\n';
  }
  return hash_of(text);
}

}  // namespace

struct Store::Database {
  std::string name;
  sqlite3* handle = nullptr;

  explicit Database(const fs::path& file) : name(file.string()) {}
  ~Database() { sqlite3_close_v2(handle); }
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  [[noreturn]] void fail() const {
    const int code = handle == nullptr ? SQLITE_NOMEM : sqlite3_errcode(handle);
    if (code == SQLITE_NOTADB || code == SQLITE_CORRUPT) {
      throw InputError(
          name +
          " is no store of a yard or is damaged: move it away, or choose another folder for the results.");
    }
    if (code == SQLITE_FULL) {
      throw InputError(name + " cannot be written: the disk is full; what is planned so far is kept.");
    }
    throw InputError(name + " cannot be used (" + sqlite3_errmsg(handle) +
                     "): check the folder's access rights, or choose another folder for the results.");
  }

  void run(const std::string& statements) const {
    if (sqlite3_exec(handle, statements.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) {
      fail();
    }
  }
};

namespace {

/// One prepared statement.
class Statement {
 public:
  template <typename Database>
  Statement(const Database& database, const char* text) : fail_([&database] { database.fail(); }) {
    if (sqlite3_prepare_v2(database.handle, text, -1, &statement_, nullptr) != SQLITE_OK) {
      fail_();
    }
  }
  ~Statement() { sqlite3_finalize(statement_); }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  Statement& text(int at, const std::string& value) {
    return checked(
        sqlite3_bind_text64(statement_, at, value.data(), value.size(), SQLITE_TRANSIENT, SQLITE_UTF8));
  }
  Statement& blob(int at, const std::string& value) {
    return checked(sqlite3_bind_blob64(statement_, at, value.data(), value.size(), SQLITE_TRANSIENT));
  }
  Statement& whole(int at, int value) { return checked(sqlite3_bind_int(statement_, at, value)); }
  /// Whether there is a row.
  bool step() {
    const int code = sqlite3_step(statement_);
    if (code != SQLITE_ROW && code != SQLITE_DONE) {
      fail_();
    }
    return code == SQLITE_ROW;
  }
  int whole() const { return sqlite3_column_int(statement_, 0); }
  std::string bytes() const {
    const void* data = sqlite3_column_blob(statement_, 0);
    const int size = sqlite3_column_bytes(statement_, 0);
    return data == nullptr ? std::string()
                           : std::string(static_cast<const char*>(data), static_cast<std::size_t>(size));
  }

 private:
  Statement& checked(int code) {
    if (code != SQLITE_OK) {
      fail_();
    }
    return *this;
  }
  std::function<void()> fail_;
  sqlite3_stmt* statement_ = nullptr;
};

template <typename Database>
int pragma(const Database& database, const char* text) {
  Statement statement(database, text);
  return statement.step() ? statement.whole() : 0;
}

/// Throws unless the marks are those of a store of this version.
template <typename Database>
void check_marks(const Database& database, const std::string& schema, const std::string& name) {
  if (pragma(database, ("PRAGMA " + schema + "application_id").c_str()) != kApplication) {
    throw InputError(name +
                     " is no store of a yard: move it away, or choose another folder for the results.");
  }
  const int version = pragma(database, ("PRAGMA " + schema + "user_version").c_str());
  if (version != kStoreVersion) {
    throw InputError(name + " was written by another version of flitchwise (store " +
                     std::to_string(version) + ", this one has " + std::to_string(kStoreVersion) +
                     "): choose another folder for the results, or remove it to plan the yard again.");
  }
}

}  // namespace

Store::Store(const fs::path& file) : database_(std::make_unique<Database>(file)) {
  Database& database = *database_;
  std::error_code ignored;
  if (fs::is_directory(file, ignored)) {
    throw InputError(file.string() + " is a folder: remove it, or choose another folder for the results.");
  }
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
  if (sqlite3_open_v2(file.c_str(), &database.handle, flags, nullptr) != SQLITE_OK) {
    database.fail();
  }
  sqlite3_busy_timeout(database.handle, kPatience_ms);
  database.run(kSafely);
  if (pragma(database, "SELECT count(*) FROM sqlite_master") == 0) {
    database.run(std::string("BEGIN IMMEDIATE;") + kTables +
                 "PRAGMA application_id=" + std::to_string(kApplication) +
                 ";PRAGMA user_version=" + std::to_string(kStoreVersion) + ";COMMIT;");
  }
  check_marks(database, "", database.name);
}

Store::~Store() = default;

std::optional<LogPlans> Store::plans(const std::string& key) const {
  Statement statement(*database_, "SELECT plans FROM logs WHERE key = ?");
  if (!statement.text(1, key).step()) {
    return std::nullopt;
  }
  try {
    return from_bytes<LogPlans>(statement.bytes());
  } catch (const std::exception&) {
    throw InputError(database_->name + " is damaged: remove it to plan the yard again.");
  }
}

std::string Store::models(const std::string& key) const {
  Statement statement(*database_, "SELECT models FROM logs WHERE key = ?");
  return statement.text(1, key).step() ? statement.bytes() : std::string();
}

bool Store::holds(const std::string& key) const {
  Statement statement(*database_, "SELECT 1 FROM logs WHERE key = ?");
  return statement.text(1, key).step();
}

void Store::put(const std::string& key, const PlannedScan& planned) {
  Statement statement(*database_,
                      "INSERT OR IGNORE INTO logs (key, outcome, plans, models) VALUES (?, ?, ?, ?)");
  constexpr int kModels = 4;
  statement.text(1, key)
      .whole(2, static_cast<int>(planned.plans.outcome))
      .blob(3, bytes_of(planned.plans))
      .blob(kModels, planned.models)
      .step();
}

std::size_t Store::take_over(const fs::path& other) {
  std::error_code ignored;
  if (!fs::is_regular_file(other, ignored)) {
    throw InputError(other.string() + " is no file: name the stores of the shards, OUT/yard.sqlite each.");
  }
  Statement(*database_, "ATTACH DATABASE ? AS other").text(1, other.string()).step();
  struct Detached {
    const Database& database;
    ~Detached() { sqlite3_exec(database.handle, "DETACH DATABASE other", nullptr, nullptr, nullptr); }
  };
  const Detached detached{*database_};
  check_marks(*database_, "other.", other.string());
  database_->run("INSERT OR IGNORE INTO main.logs SELECT * FROM other.logs");
  return static_cast<std::size_t>(sqlite3_changes(database_->handle));
}

std::optional<std::string> Store::hash(const std::vector<FileState>& files) const {
  Statement statement(*database_, "SELECT hash FROM hashes WHERE files = ?");
  return statement.text(1, state_text(files)).step() ? std::optional(statement.bytes()) : std::nullopt;
}

void Store::keep_hash(const std::vector<FileState>& files, const std::string& hash) {
  Statement statement(*database_, "INSERT OR REPLACE INTO hashes (files, hash) VALUES (?, ?)");
  statement.text(1, state_text(files)).text(2, hash).step();
}

std::string Store::written(const std::string& log) const {
  Statement statement(*database_, "SELECT what FROM written WHERE log = ?");
  return statement.text(1, log).step() ? statement.bytes() : std::string();
}

void Store::set_written(const std::string& log, const std::string& what) {
  Statement statement(*database_, what.empty() ? "DELETE FROM written WHERE log = ?"
                                               : "INSERT OR REPLACE INTO written (log, what) VALUES (?, ?)");
  statement.text(1, log);
  if (!what.empty()) {
    statement.text(2, what);
  }
  statement.step();
}

std::vector<std::string> Store::logs_written() const {
  Statement statement(*database_, "SELECT log FROM written ORDER BY log");
  std::vector<std::string> logs;
  while (statement.step()) {
    logs.push_back(statement.bytes());
  }
  return logs;
}

FolderLock::FolderLock(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error || !fs::is_directory(folder, error)) {
    throw InputError(folder.string() + " cannot be made a folder: choose another folder for the results.");
  }
  const fs::path file = folder / "yard.lock";
  constexpr mode_t kForAll = 0666;
  file_ = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, kForAll);
  if (file_ < 0) {
    throw InputError(folder.string() + " cannot be written (" + std::strerror(errno) +
                     "): check its access rights, or choose another folder for the results.");
  }
  if (flock(file_, LOCK_EX | LOCK_NB) != 0) {
    std::array<char, 16> text{};
    const ssize_t count = pread(file_, text.data(), text.size() - 1, 0);
    close(file_);
    const std::string process =
        count > 0 ? " (process " + std::string(text.data(), static_cast<std::size_t>(count)) + ")" : "";
    throw BadUse("another run is at work on " + folder.string() + process +
                 ": wait until it has ended, or choose another folder for the results");
  }
  const std::string own = std::to_string(getpid());
  if (ftruncate(file_, 0) != 0 || pwrite(file_, own.data(), own.size(), 0) < 0) {
    // Only the other run's message is poorer without the number.
  }
}

FolderLock::~FolderLock() {
  close(file_);
}

}  // namespace flitchwise::yard
