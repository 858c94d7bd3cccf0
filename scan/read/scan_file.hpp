#pragma once
/// A scan to be read.

#include <filesystem>
#include <memory>
#include <string>

#include "scan/model/fields.hpp"

namespace flitchwise::scan {

/// A file or, where there is no file system (in a browser), its bytes.
struct ScanFile {
  std::filesystem::path path;                          ///< with `bytes` only a name, for messages
  std::shared_ptr<const std::string> bytes = nullptr;  ///< empty: those of the file or folder at `path`
};
FLITCHWISE_FIELDS(ScanFile, path, bytes)

}  // namespace flitchwise::scan
