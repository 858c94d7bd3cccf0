#pragma once
/// What a scan is, by its bytes: not by its name, its place or its time.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace flitchwise::yard {

/// 128 bits as 32 hexadecimal digits (XXH3, xxhash.com: far too long for two different scans to share one by
/// chance).
std::string hash_of(const std::string& bytes);

/// One file and how it looked when it was listed: enough to see that it was changed since.
struct FileState {
  std::filesystem::path file;
  std::uint64_t size = 0;
  std::int64_t modified_ns = 0;  ///< since 1970
  bool operator==(const FileState& other) const = default;
};

/// Every file that a scan consists of: the file itself; of a folder of depth images all files in it; of a
/// mesh that refers to others (OBJ, glTF) also all files beside it that are no scans themselves, as any of
/// them may be a picture or a buffer of it. Sorted. Throws InputError where one cannot be looked at.
std::vector<FileState> files_of_scan(const std::filesystem::path& scan);

/// Over the names below the scan's folder and the bytes of all of them; the name of the scan itself does not
/// count. Throws InputError where one cannot be read.
std::string hash_of_scan(const std::filesystem::path& scan, const std::vector<FileState>& files);

}  // namespace flitchwise::yard
