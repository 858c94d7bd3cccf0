#include "scan/read/mapped_file.hpp"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <functional>
#include <system_error>
#include <utility>

#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

// Large enough to make the calls rare, small against any file for which memory matters; a multiple of every
// page size in use.
constexpr std::size_t kReleaseStep = std::size_t{16} << 20U;

class Descriptor {
 public:
  explicit Descriptor(const std::filesystem::path& file)
      // Without O_NONBLOCK a named pipe would wait for its writer.
      : number_(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}
  ~Descriptor() {
    if (number_ >= 0) {
      ::close(number_);
    }
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }

 private:
  int number_;
};

std::string reason(int error) {
  return std::generic_category().message(error);
}

[[noreturn]] void fail_empty(const std::filesystem::path& file) {
  fail(file, "is empty: export or copy the scan again");
}

std::size_t plain_file_size(const std::filesystem::path& file, const Descriptor& descriptor) {
  struct stat status {};
  if (::fstat(descriptor.number(), &status) != 0) {
    fail(file, "cannot be examined (" + reason(errno) + "): check the path and its access rights");
  }
  if (S_ISDIR(status.st_mode)) {
    fail(file, "is a directory, not a scan: name a file in it");
  }
  if (!S_ISREG(status.st_mode)) {
    fail(file, "is not a plain file: save the scan to a file first");
  }
  if (status.st_size <= 0) {
    fail_empty(file);
  }
  return static_cast<std::size_t>(status.st_size);
}

}  // namespace

MappedFile::MappedFile(std::filesystem::path file) : path_(std::move(file)) {
  const Descriptor descriptor(path_);
  if (descriptor.number() < 0) {
    const int error = errno;
    if (error == ENOENT || error == ENOTDIR) {
      fail(path_, "does not exist: check the path");
    }
    fail(path_, "cannot be opened (" + reason(error) + "): check its access rights");
  }
  const std::size_t size = plain_file_size(path_, descriptor);
  void* start = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, descriptor.number(), 0);
  if (start == MAP_FAILED) {
    fail(path_, "cannot be read (" + reason(errno) + "): copy it to a local disk");
  }
  ::madvise(start, size, MADV_SEQUENTIAL);
  bytes_ = {static_cast<const char*>(start), size};
  mapped_ = true;
}

MappedFile::MappedFile(std::filesystem::path name, std::string_view bytes)
    : path_(std::move(name)), bytes_(bytes) {
  if (bytes_.empty()) {
    fail_empty(path_);
  }
}

MappedFile::~MappedFile() {
  if (mapped_) {  // munmap wants a mutable pointer although the mapping is read-only
    ::munmap(const_cast<char*>(bytes_.data()), bytes_.size());
  }
}

void PageReleaser::passed(const char* position) {
  const std::string_view bytes = file_.bytes();
  if (std::less<>()(position, bytes.data()) || std::less<>()(bytes.data() + bytes.size(), position)) {
    return;
  }
  const auto done = static_cast<std::size_t>(position - bytes.data());
  if (done < released_ + kReleaseStep) {
    return;
  }
  const std::size_t whole = (done - released_) / kReleaseStep * kReleaseStep;
  if (file_.mapped_) {
    ::madvise(const_cast<char*>(bytes.data()) + released_, whole, MADV_DONTNEED);
  }
  released_ += whole;
  if (file_.watcher_) {
    file_.watcher_(static_cast<double>(done) / static_cast<double>(bytes.size()));
  }
}

std::filesystem::path neighbour_of(const std::filesystem::path& file, std::string_view name) {
  namespace fs = std::filesystem;
  std::string plain(name);
  std::replace(plain.begin(), plain.end(), '\\', '/');
  std::error_code error;
  const fs::path folder = fs::weakly_canonical(fs::absolute(file).parent_path(), error);
  for (const fs::path& wanted : {fs::path(plain), fs::path(plain).filename()}) {
    const fs::path found = fs::weakly_canonical(folder / wanted, error);
    if (fs::is_regular_file(found, error) && *found.lexically_relative(folder).begin() != "..") {
      return found;
    }
  }
  return {};
}

}  // namespace flitchwise::scan
