#include "tools/yard/content_hash.hpp"

#include <sys/stat.h>
#include <xxhash.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <memory>
#include <vector>

#include "scan/model/errors.hpp"
#include "scan/read_scan.hpp"
#include "tools/job/from_words.hpp"

namespace flitchwise::yard {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kChunk = std::size_t{1} << 20;  // bytes read at a time

class Hash {
 public:
  Hash() : state_(XXH3_createState()) { XXH3_128bits_reset(state_.get()); }
  void add(const void* bytes, std::size_t size) { XXH3_128bits_update(state_.get(), bytes, size); }
  /// Its length goes first, so that two texts are not the same as one.
  void add(const std::string& text) {
    const std::uint64_t size = text.size();
    add(&size, sizeof size);
    add(text.data(), text.size());
  }
  std::string digits() const {
    XXH128_canonical_t bytes;
    XXH128_canonicalFromHash(&bytes, XXH3_128bits_digest(state_.get()));
    constexpr std::string_view kDigits = "0123456789abcdef";
    constexpr unsigned kHalf = 4;
    constexpr unsigned kLow = 15;
    std::string text;
    for (const unsigned char byte : bytes.digest) {
      text += kDigits[byte >> kHalf];
      text += kDigits[byte & kLow];
    }
    return text;
  }

 private:
  struct Free {
    void operator()(XXH3_state_t* state) const { XXH3_freeState(state); }
  };
  std::unique_ptr<XXH3_state_t, Free> state_;
};

[[noreturn]] void fail(const fs::path& file) {
  throw InputError(file.string() + " cannot be read: check that it is still there and its access rights.");
}

FileState state_of(const fs::path& file) {
  struct stat seen {};
  if (stat(file.c_str(), &seen) != 0) {
    fail(file);
  }
  constexpr std::int64_t kNsASecond = 1'000'000'000;
  return {file, static_cast<std::uint64_t>(seen.st_size),
          static_cast<std::int64_t>(seen.st_mtim.tv_sec) * kNsASecond + seen.st_mtim.tv_nsec};
}

void add_file(const fs::path& file, Hash& hash) {
  std::ifstream in(file, std::ios::binary);
  if (!in) {
    fail(file);
  }
  std::vector<char> chunk(kChunk);
  while (in.read(chunk.data(), static_cast<std::streamsize>(chunk.size())) || in.gcount() > 0) {
    hash.add(chunk.data(), static_cast<std::size_t>(in.gcount()));
  }
  if (in.bad()) {
    fail(file);
  }
}

/// Formats that name other files: by their endings, as what is beside another mesh does no harm.
bool refers_to_others(const fs::path& scan) {
  const std::string ending = lower_case(scan.extension().string());
  return ending == ".obj" || ending == ".gltf";
}

bool is_table(const fs::path& file) {
  return lower_case(file.extension().string()) == ".csv";
}

void add_files_below(const fs::path& folder, std::vector<FileState>& files) {
  for (const auto& there : fs::recursive_directory_iterator(folder)) {
    if (there.is_regular_file()) {
      files.push_back(state_of(there.path()));
    }
  }
}

void add_files_beside(const fs::path& scan, std::vector<FileState>& files) {
  for (const auto& there : fs::directory_iterator(scan.has_parent_path() ? scan.parent_path() : ".")) {
    if (there.is_regular_file() && there.path() != scan && !is_table(there.path()) &&
        !scan::is_scan(there.path())) {
      files.push_back(state_of(there.path()));
    } else if (there.is_directory() && !scan::is_scan(there.path())) {
      add_files_below(there.path(), files);  // textures/
    }
  }
}

}  // namespace

std::string hash_of(const std::string& bytes) {
  Hash hash;
  hash.add(bytes);
  return hash.digits();
}

std::vector<FileState> files_of_scan(const fs::path& scan) {
  std::vector<FileState> files;
  try {
    if (fs::is_directory(scan)) {
      add_files_below(scan, files);
    } else {
      files.push_back(state_of(scan));
      if (refers_to_others(scan)) {
        add_files_beside(scan, files);
      }
    }
  } catch (const fs::filesystem_error& error) {
    fail(error.path1());
  }
  std::sort(files.begin(), files.end(),
            [](const FileState& a, const FileState& b) { return a.file < b.file; });
  return files;
}

std::string hash_of_scan(const fs::path& scan, const std::vector<FileState>& files) {
  const fs::path folder = fs::is_directory(scan) ? scan : scan.parent_path();
  Hash hash;
  for (const FileState& state : files) {
    hash.add(state.file == scan ? std::string() : state.file.lexically_relative(folder).string());
    hash.add(&state.size, sizeof state.size);
    add_file(state.file, hash);
  }
  return hash.digits();
}

}  // namespace flitchwise::yard
